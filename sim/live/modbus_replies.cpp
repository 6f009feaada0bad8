#include "sim/live/modbus_replies.h"

#include <modbus.h>

#include <array>
#include <cerrno>
#include <cstring>

#include <spdlog/fmt/fmt.h>

#include "sim/live/host_refusal.h"
#include "sim/live/modbus_frames.h"

namespace cornerbench::live {

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

}  // namespace

ModbusReplies::ModbusReplies(console::Instrument& instrument)
    : registers_(instrument), context_(modbus_new_tcp("127.0.0.1", MODBUS_TCP_DEFAULT_PORT), &modbus_free) {
    if (!context_) throw HostRefusal(fmt::format("Modbus: the library refuses: {}", modbus_strerror(errno)));
}

bool ModbusReplies::answer(int socket, std::span<const std::uint8_t> frame) {
    modbus_set_socket(context_.get(), socket);
    ModbusRequest request = read_request(frame.subspan(modbus_header));
    Window window(request.first, request.count);
    const auto count = std::size_t{request.count};
    int exception = request.exception;
    if (exception == 0) {
        console::Exception answer = console::Exception::none;
        std::array<bool, most_bits> bits{};
        switch (request.function) {
            case ModbusFunction::read_coils:
                answer = registers_.read_coils(request.first, std::span(bits).first(count));
                break;
            case ModbusFunction::read_discrete_inputs:
                answer = registers_.read_discrete(request.first, std::span(bits).first(count));
                break;
            case ModbusFunction::read_holding_registers:
            case ModbusFunction::read_input_registers:
                answer = registers_.read(request.first, std::span(window.registers).first(count));
                break;
            default:
                exception = carry_out(request);
                break;
        }
        std::copy(bits.begin(), bits.end(), window.bits.begin());
        if (answer != console::Exception::none) exception = static_cast<int>(answer);
    }
    if (exception != 0)
        return modbus_reply_exception(context_.get(), frame.data(), static_cast<unsigned>(exception)) > 0;
    return modbus_reply(context_.get(), frame.data(), static_cast<int>(frame.size()), &window.mapping) > 0;
}

int ModbusReplies::carry_out(ModbusRequest& request) {
    const bool coil =
        request.function == ModbusFunction::write_coil || request.function == ModbusFunction::write_coils;
    // A key is pressed by a request of its own.
    if (coil && request.count != 1) return static_cast<int>(console::Exception::illegal_address);
    const console::Written written =
        coil ? registers_.write_coil(request.first, request.bits[0])
             : registers_.write(request.first, std::span(request.registers).first(request.count));
    return static_cast<int>(written.exception);
}

}  // namespace cornerbench::live
