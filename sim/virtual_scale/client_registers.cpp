#include "sim/virtual_scale/client_registers.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/virtual_scale/client_notes.h"

namespace cornerbench::virtual_scale {

namespace {

constexpr std::array<std::string_view, 5> deed_words{"read", "discrete", "coils", "write", "coil"};

/// The most that one request of Modbus reads (V1.1b3, 6.1; from memory).
constexpr std::size_t most_values = 2000;

/// The next number of a list parted by blanks; false at its end and when there is something else.
bool take_number(std::string_view& text, std::uint16_t& number) {
    if (!text.starts_with(' ')) return false;
    const auto [end, problem] = std::from_chars(text.data() + 1, text.data() + text.size(), number);
    if (problem != std::errc()) return false;
    text.remove_prefix(static_cast<std::size_t>(end - text.data()));
    return true;
}

template <class Read>
RegisterAnswer bits(std::size_t count, const Read& read) {
    std::array<bool, most_values> room{};
    const auto wanted = std::span(room).first(std::min(count, room.size()));
    RegisterAnswer answer;
    answer.exception = read(wanted);
    answer.values.assign(wanted.begin(), wanted.end());
    return answer;
}

}  // namespace

RegisterAnswer carry_out(console::RegisterMap& registers, const RegisterRequest& request) {
    RegisterAnswer answer;
    switch (request.deed) {
        case RegisterDeed::read:
            answer.values.resize(request.count);
            answer.exception = registers.read(request.first, answer.values);
            break;
        case RegisterDeed::read_discrete:
            answer =
                bits(request.count, [&](auto room) { return registers.read_discrete(request.first, room); });
            break;
        case RegisterDeed::read_coils:
            answer =
                bits(request.count, [&](auto room) { return registers.read_coils(request.first, room); });
            break;
        case RegisterDeed::write:
            answer.exception = registers.write(request.first, request.values).exception;
            break;
        case RegisterDeed::write_coil:
            answer.exception =
                registers.write_coil(request.first, !request.values.empty() && request.values[0] != 0)
                    .exception;
            break;
    }
    if (answer.exception != console::Exception::none) answer.values.clear();
    return answer;
}

std::string words_of(const RegisterRequest& request) {
    return fmt::format("{} {} {}{}{}", deed_words[static_cast<std::size_t>(request.deed)], request.first,
                       request.count, request.values.empty() ? "" : " ", fmt::join(request.values, " "));
}

std::string words_of(const RegisterAnswer& answer) {
    return fmt::format(">{}{}{}", static_cast<int>(answer.exception), answer.values.empty() ? "" : " ",
                       fmt::join(answer.values, " "));
}

bool read_register_request(std::string_view text, RegisterRequest& request) {
    const std::string_view word = text.substr(0, text.find(' '));
    const auto* const found = std::find(deed_words.begin(), deed_words.end(), word);
    if (found == deed_words.end()) return false;
    request = {};
    request.deed = static_cast<RegisterDeed>(found - deed_words.begin());
    text.remove_prefix(word.size());
    if (!take_number(text, request.first) || !take_number(text, request.count)) return false;
    for (std::uint16_t value = 0; take_number(text, value);) request.values.push_back(value);
    return text.empty() && request.count <= most_values && request.values.size() <= most_values;
}

RegisterAnswer ClientRegisters::ask(const RegisterRequest& request) {
    scale_.add_note(registers_note, words_of(request));
    RegisterAnswer answer = carry_out(registers_, request);
    scale_.add_note(registers_note, words_of(answer));
    return answer;
}

template <class Value>
console::Exception ClientRegisters::ask_for(RegisterDeed deed, std::uint16_t first, std::span<Value> values) {
    const RegisterAnswer answer = ask({deed, first, static_cast<std::uint16_t>(values.size()), {}});
    std::copy_n(answer.values.begin(), std::min(answer.values.size(), values.size()), values.begin());
    return answer.exception;
}

console::Exception ClientRegisters::read(std::uint16_t first, std::span<std::uint16_t> values) {
    return ask_for(RegisterDeed::read, first, values);
}

console::Exception ClientRegisters::read_discrete(std::uint16_t first, std::span<bool> values) {
    return ask_for(RegisterDeed::read_discrete, first, values);
}

console::Exception ClientRegisters::read_coils(std::uint16_t first, std::span<bool> values) {
    return ask_for(RegisterDeed::read_coils, first, values);
}

console::Written ClientRegisters::write(std::uint16_t first, std::span<const std::uint16_t> values) {
    const auto count = static_cast<std::uint16_t>(values.size());
    return {ask({RegisterDeed::write, first, count, {values.begin(), values.end()}}).exception,
            registers_.last_refusal()};
}

console::Written ClientRegisters::write_coil(std::uint16_t address, bool on) {
    const auto value = static_cast<std::uint16_t>(on ? 1 : 0);
    return {ask({RegisterDeed::write_coil, address, 1, {value}}).exception, registers_.last_refusal()};
}

}  // namespace cornerbench::virtual_scale
