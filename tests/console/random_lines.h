#pragma once

#include <array>
#include <cstdlib>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/console/characters.h"
#include "tests/console/conversation.h"

namespace cornerbench::console::testing {

/// Makes up what a peer may send: bytes, and commands that are right, nearly right, or stuck together.
class RandomLines {
  public:
    explicit RandomLines(std::uint64_t seed) : random_(seed) {}

    std::uint64_t below(std::uint64_t count) { return random_() % count; }

    std::string bytes() {
        std::string text;
        for (std::uint64_t left = below(400); left > 0; --left) text += static_cast<char>(below(256));
        return text;
    }

    /// A header as in the manual, spelt one of the ways it may be, with some data.
    std::string command() {
        const auto groups = command_groups();
        const auto group = groups[below(groups.size())];
        const Command& command = group[below(group.size())];
        std::string text;
        const bool shortened = below(2) == 0;
        for (std::size_t i = 0; i < command.header.size(); ++i) {
            const char c = command.header[i];
            if (c == '[' || c == ']') continue;
            if (c == '<') {
                text += std::to_string(below(6));
                i += 2;
                continue;
            }
            if (shortened && c >= 'a' && c <= 'z') continue;
            text += below(8) == 0 && c >= 'A' && c <= 'Z' ? static_cast<char>(c + 'a' - 'A') : c;
        }
        for (int i = 0; i < command.most_parameters; ++i) text += (i == 0 ? " " : ",") + data();
        return text;
    }

    std::string data() {
        static const std::vector<std::string> choices{
            "0",  "1",      "2",       "20 T",  "9.81",   "9.79",     "1.05", "MAX",  "KG",  "LB",
            "-5", "1E9999", "nothing", "'a;b'", "#H1F",   "#15abcde", "(1)",  "1e3G", "+.5", "5 KG",
            "",   "70000",  "1 FT",    "1.0.0", "12 E 3", "\"open",   "255",  "3",    "4",   "0.9"};
        return choices[below(choices.size())];
    }

    /// A line of one or more commands, with or without something wrong in it.
    std::string line() {
        std::string text = command();
        while (below(3) == 0) text += (below(2) == 0 ? ";" : ";:") + command();
        for (std::uint64_t left = below(2) == 0 ? 0 : 1 + below(3); left > 0 && !text.empty(); --left) {
            const std::size_t at = below(text.size());
            switch (below(4)) {
                case 0:
                    text.erase(at, 1 + below(4));
                    break;
                case 1:
                    text[at] = static_cast<char>(32 + below(95));
                    break;
                case 2:
                    text.insert(at, 1, static_cast<char>(below(16) == 0 ? below(256) : 32 + below(95)));
                    break;
                default:
                    text.insert(at, text.substr(below(text.size()), below(20)));
                    break;
            }
        }
        return text;
    }

  private:
    std::mt19937_64 random_;
};

/// Whether `line` says CAL or CALibration anywhere: without it no line may change a calibration.
inline bool speaks_of_calibration(std::string_view line) {
    for (std::size_t i = 0; i + 3 <= line.size(); ++i)
        if (upper(line[i]) == 'C' && upper(line[i + 1]) == 'A' && upper(line[i + 2]) == 'L') return true;
    return false;
}

/// Sends `bytes` with the seal open or closed and asks for a sign of life; what must not be is said.
inline std::string violation(std::string_view bytes, bool open_seal) {
    Conversation talk;
    talk.instrument.open_seal = open_seal;
    (void)talk.send(bytes);
    const bool may_calibrate = open_seal && speaks_of_calibration(bytes);
    if (!may_calibrate && (talk.instrument.calibrations != 0 || talk.instrument.point_kg != -1.0))
        return "a calibration was changed";
    (void)talk.send("\n*CLS\n");
    if (talk.send("*ESE 17;*ESE?\n") != "17\n") return "it does not answer any more";
    if (talk.console.errors().count() != 0) return "an error out of nowhere";
    return {};
}

}  // namespace cornerbench::console::testing
