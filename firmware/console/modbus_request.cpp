#include "firmware/console/modbus_request.h"

#include "firmware/console/register_map.h"

namespace cornerbench::console {

namespace {

constexpr int illegal_function = static_cast<int>(Exception::illegal_function);
constexpr int illegal_value = static_cast<int>(Exception::illegal_value);

// Most that one request may ask for; V1.1b3, 6.1 to 6.12 (from memory).
constexpr int most_bits_read = 2000;
constexpr int most_registers_read = 125;
constexpr int most_bits_written = 1968;
constexpr int most_registers_written = 123;

std::uint16_t word_at(std::span<const std::uint8_t> bytes, std::size_t at) {
    return static_cast<std::uint16_t>(bytes[at] << 8u | bytes[at + 1]);
}

ModbusRequest refused(int exception) {
    ModbusRequest request;
    request.exception = exception;
    return request;
}

ModbusRequest with_count(ModbusRequest request, int most) {
    return request.count >= 1 && request.count <= most ? request : refused(illegal_value);
}

ModbusRequest single_write(ModbusRequest request) {
    const std::uint16_t value = request.count;
    request.count = 1;
    request.registers[0] = value;
    request.bits[0] = value == 0xFF00;
    const bool coil = request.function == ModbusFunction::write_coil;
    return coil && value != 0xFF00 && value != 0 ? refused(illegal_value) : request;
}

ModbusRequest several_written(ModbusRequest request, std::span<const std::uint8_t> data) {
    const bool coils = request.function == ModbusFunction::write_coils;
    request = with_count(request, coils ? most_bits_written : most_registers_written);
    const std::size_t bytes = coils ? (request.count + 7u) / 8u : 2u * request.count;
    if (request.exception != 0 || data.empty() || data[0] != bytes || data.size() != 1 + bytes)
        return refused(illegal_value);
    for (std::size_t i = 0; i < request.count; ++i) {
        if (coils)
            request.bits[i] = (data[1 + i / 8] >> (i % 8) & 1u) != 0;
        else
            request.registers[i] = word_at(data, 1 + 2 * i);
    }
    return request;
}

}  // namespace

ModbusRequest read_request(std::span<const std::uint8_t> unit) {
    ModbusRequest request;
    request.function = static_cast<ModbusFunction>(unit[0]);
    const bool has_head = unit.size() >= 5;
    if (has_head) {
        request.first = word_at(unit, 1);
        request.count = word_at(unit, 3);
    }
    switch (request.function) {
        case ModbusFunction::read_coils:
        case ModbusFunction::read_discrete_inputs:
            return unit.size() == 5 ? with_count(request, most_bits_read) : refused(illegal_value);
        case ModbusFunction::read_holding_registers:
        case ModbusFunction::read_input_registers:
            return unit.size() == 5 ? with_count(request, most_registers_read) : refused(illegal_value);
        case ModbusFunction::write_coil:
        case ModbusFunction::write_register:
            return unit.size() == 5 ? single_write(request) : refused(illegal_value);
        case ModbusFunction::write_coils:
        case ModbusFunction::write_registers:
            return has_head ? several_written(request, unit.subspan(5)) : refused(illegal_value);
    }
    return refused(illegal_function);
}

}  // namespace cornerbench::console
