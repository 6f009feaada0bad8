#pragma once

#include <array>
#include <cstdint>
#include <span>

namespace cornerbench::console {

/// Function codes of the Modbus application protocol, V1.1b3, 6 (from memory).
enum class ModbusFunction : std::uint8_t {
    read_coils = 1,
    read_discrete_inputs = 2,
    read_holding_registers = 3,
    read_input_registers = 4,
    write_coil = 5,
    write_register = 6,
    write_coils = 15,
    write_registers = 16
};

/// What a client asks for.
struct ModbusRequest {
    /// 0, or the exception code with which this is to be answered before any register is looked at, 1 or 3:
    /// the rest does not count then (`Exception`).
    int exception = 0;
    ModbusFunction function{};
    std::uint16_t first = 0;
    std::uint16_t count = 0;                     ///< registers or bits; 1 for a single write
    std::array<std::uint16_t, 123> registers{};  ///< to be written
    std::array<bool, 1968> bits{};               ///< to be written
};

/// Reads a protocol data unit: the function code and what follows it, at least one byte.
ModbusRequest read_request(std::span<const std::uint8_t> unit);

}  // namespace cornerbench::console
