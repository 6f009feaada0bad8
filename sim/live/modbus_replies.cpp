#include "sim/live/modbus_replies.h"

#include <modbus.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>

#include <spdlog/fmt/fmt.h>

#include "sim/live/host_refusal.h"
#include "sim/live/modbus_frames.h"

namespace cornerbench::live {

using console::ModbusFunction;
using console::ModbusRequest;
using virtual_scale::RegisterAnswer;
using virtual_scale::RegisterDeed;
using virtual_scale::RegisterRequest;

namespace {

constexpr std::size_t most_bits = 2000;
constexpr std::size_t most_registers = 125;

/// What libmodbus takes an answer from, and looks at before it confirms a write: just what was asked for.
struct Window {
    std::array<std::uint8_t, most_bits> bits{};
    std::array<std::uint16_t, most_registers> registers{};
    modbus_mapping_t mapping{};

    Window(int first, int count) {
        mapping.start_bits = mapping.start_input_bits = first;
        mapping.start_registers = mapping.start_input_registers = first;
        mapping.nb_bits = mapping.nb_input_bits = count;
        mapping.nb_registers = mapping.nb_input_registers = count;
        mapping.tab_bits = mapping.tab_input_bits = bits.data();
        mapping.tab_registers = mapping.tab_input_registers = registers.data();
    }
};

RegisterRequest register_request(const ModbusRequest& request) {
    RegisterRequest wanted{RegisterDeed::read, request.first, request.count};
    switch (request.function) {
        case ModbusFunction::read_coils:
            wanted.deed = RegisterDeed::read_coils;
            break;
        case ModbusFunction::read_discrete_inputs:
            wanted.deed = RegisterDeed::read_discrete;
            break;
        case ModbusFunction::read_holding_registers:
        case ModbusFunction::read_input_registers:
            break;
        case ModbusFunction::write_coil:
        case ModbusFunction::write_coils:
            wanted.deed = RegisterDeed::write_coil;
            wanted.values = {static_cast<std::uint16_t>(request.bits[0] ? 1 : 0)};
            break;
        case ModbusFunction::write_register:
        case ModbusFunction::write_registers:
            wanted.deed = RegisterDeed::write;
            wanted.values.assign(request.registers.begin(), request.registers.begin() + request.count);
            break;
    }
    return wanted;
}

}  // namespace

ModbusReplies::ModbusReplies(virtual_scale::VirtualScale& scale)
    : registers_(scale), context_(modbus_new_tcp("127.0.0.1", MODBUS_TCP_DEFAULT_PORT), &modbus_free) {
    if (!context_) throw HostRefusal(fmt::format("Modbus: the library refuses: {}", modbus_strerror(errno)));
}

bool ModbusReplies::answer(int socket, std::span<const std::uint8_t> frame) {
    modbus_set_socket(context_.get(), socket);
    const ModbusRequest request = console::read_request(frame.subspan(modbus_header));
    Window window(request.first, request.count);
    int exception = request.exception;
    const bool coil =
        request.function == ModbusFunction::write_coil || request.function == ModbusFunction::write_coils;
    // A key is pressed by a request of its own.
    if (exception == 0 && coil && request.count != 1)
        exception = static_cast<int>(console::Exception::illegal_address);
    if (exception == 0) {
        const RegisterAnswer answer = registers_.ask(register_request(request));
        exception = static_cast<int>(answer.exception);
        const bool of_bits = request.function == ModbusFunction::read_coils ||
                             request.function == ModbusFunction::read_discrete_inputs;
        if (of_bits)
            std::copy(answer.values.begin(), answer.values.end(), window.bits.begin());
        else
            std::copy(answer.values.begin(), answer.values.end(), window.registers.begin());
    }
    if (exception != 0)
        return modbus_reply_exception(context_.get(), frame.data(), static_cast<unsigned>(exception)) > 0;
    return modbus_reply(context_.get(), frame.data(), static_cast<int>(frame.size()), &window.mapping) > 0;
}

}  // namespace cornerbench::live
