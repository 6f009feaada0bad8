#include "sim/virtual_scale/line_talk.h"

#include <array>
#include <cstdint>
#include <span>

namespace cornerbench::virtual_scale {

namespace {

constexpr std::string_view no_error = "0,";

void send(VirtualScale& scale, std::string_view line) {
    const std::string bytes = std::string(line) + '\n';
    scale.board().line.peer_sends({reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()});
}

std::string take(VirtualScale& scale) {
    std::array<std::uint8_t, 256> bytes{};
    const std::size_t count = scale.board().line.peer_takes(bytes);
    return {reinterpret_cast<const char*>(bytes.data()), count};
}

}  // namespace

std::string ask(VirtualScale& scale, std::string_view line, double at_most_s) {
    if (!scale.powered()) return {};
    while (!take(scale).empty()) {
    }
    send(scale, line);
    const double end_s = scale.time_s() + at_most_s;
    std::string answer;
    while (scale.time_s() < end_s) {
        scale.frame();
        for (std::string part = take(scale); !part.empty(); part = take(scale)) answer += part;
        if (answer.ends_with('\n')) return answer.substr(0, answer.find_last_not_of("\r\n") + 1);
    }
    return {};
}

std::string tell(VirtualScale& scale, std::string_view command) {
    if (!scale.powered()) return "no power";
    // Errors of before are not this command's.
    send(scale, "*CLS");
    send(scale, command);
    std::string answer = ask(scale, "SYST:ERR?");
    if (answer.empty()) return "no answer";
    return answer.starts_with(no_error) ? std::string{} : answer;
}

std::string reason_in(const std::string& error) {
    if (error.starts_with(no_error)) return {};
    const std::size_t from = error.find_last_of(";\"", error.size() < 2 ? 0 : error.size() - 2);
    std::string reason = from == std::string::npos ? error : error.substr(from + 1);
    if (reason.ends_with('"')) reason.pop_back();
    return reason;
}

}  // namespace cornerbench::virtual_scale
