#include "sim/virtual_scale/client_notes.h"

#include <charconv>

#include <spdlog/fmt/fmt.h>

namespace cornerbench::virtual_scale {

namespace {

std::string_view text_of(std::span<const std::uint8_t> bytes) {
    return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

/// A number and the blank behind it.
bool take_number(std::string_view& text, std::size_t most, std::size_t& number) {
    const auto [end, problem] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (problem != std::errc() || number > most || end == text.data() + text.size() || *end != ' ')
        return false;
    text.remove_prefix(static_cast<std::size_t>(end - text.data()) + 1);
    return true;
}

constexpr auto last_answer = static_cast<std::size_t>(hal::Answer::disconnected);
constexpr std::size_t most_offered = 1'000'000;

}  // namespace

std::string client_comes() {
    return {static_cast<char>(ClientDeed::comes)};
}

std::string client_leaves() {
    return {static_cast<char>(ClientDeed::leaves)};
}

std::string client_begins() {
    return {static_cast<char>(ClientDeed::begins)};
}

std::string client_received(hal::Answer answer, std::span<const std::uint8_t> bytes) {
    return fmt::format("<{} {}", static_cast<int>(answer), text_of(bytes));
}

std::string client_sent(hal::Answer answer, std::size_t offered, std::span<const std::uint8_t> taken) {
    return fmt::format(">{} {} {}", static_cast<int>(answer), offered, text_of(taken));
}

bool read_client_note(std::string_view text, ClientNote& note) {
    if (text.empty()) return false;
    note = {};
    note.deed = static_cast<ClientDeed>(text[0]);
    text.remove_prefix(1);
    switch (note.deed) {
        case ClientDeed::comes:
        case ClientDeed::leaves:
        case ClientDeed::begins:
            return text.empty();
        case ClientDeed::received:
        case ClientDeed::sent:
            break;
        default:
            return false;
    }
    std::size_t answer = 0;
    if (!take_number(text, last_answer, answer)) return false;
    note.answer = static_cast<hal::Answer>(answer);
    if (note.deed == ClientDeed::sent && !take_number(text, most_offered, note.offered)) return false;
    note.bytes = text;
    return true;
}

}  // namespace cornerbench::virtual_scale
