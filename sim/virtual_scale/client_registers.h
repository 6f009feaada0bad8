#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/console/register_map.h"
#include "sim/virtual_scale/virtual_scale.h"

namespace cornerbench::virtual_scale {

/// What a Modbus client can ask of the registers.
enum class RegisterDeed : std::uint8_t { read, read_discrete, read_coils, write, write_coil };

/// One request from the address `first` on: a read of `count` registers or bits, or a write of `values`.
struct RegisterRequest {
    RegisterDeed deed = RegisterDeed::read;
    std::uint16_t first = 0;
    std::uint16_t count = 1;
    std::vector<std::uint16_t> values{};  ///< to be written: registers, or one that is 0 or 1 for a coil
};

/// The answer to one request; no values after an exception.
struct RegisterAnswer {
    console::Exception exception = console::Exception::none;
    std::vector<std::uint16_t> values{};  ///< read: registers, or bits as 0 or 1
};

/// Asks the registers; a request that they refuse is answered with their exception.
RegisterAnswer carry_out(console::RegisterMap& registers, const RegisterRequest& request);

/// As notes of a recording have them (hal/recorded/FORMAT.md).
std::string words_of(const RegisterRequest& request);
std::string words_of(const RegisterAnswer& answer);
/// False when the text is no request.
bool read_register_request(std::string_view text, RegisterRequest& request);

/// The registers of the firmware that runs when this is made, as clients reach them past the board's ports.
/// What is asked and answered goes into the scale's recording. The scale has to outlive it.
class ClientRegisters {
  public:
    explicit ClientRegisters(VirtualScale& scale) : scale_(scale), registers_(scale.indicator()) {}

    /// To be called between two steps of the firmware, after its first.
    RegisterAnswer ask(const RegisterRequest& request);

    /// The same questions as a `console::RegisterMap` has them.
    console::Exception read(std::uint16_t first, std::span<std::uint16_t> values);
    console::Exception read_discrete(std::uint16_t first, std::span<bool> values);
    console::Exception read_coils(std::uint16_t first, std::span<bool> values);
    console::Written write(std::uint16_t first, std::span<const std::uint16_t> values);
    console::Written write_coil(std::uint16_t address, bool on);

  private:
    template <class Value>
    console::Exception ask_for(RegisterDeed deed, std::uint16_t first, std::span<Value> values);

    VirtualScale& scale_;
    console::RegisterMap registers_;
};

}  // namespace cornerbench::virtual_scale
