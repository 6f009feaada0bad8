#pragma once

#include <string>
#include <string_view>

#include "firmware/console/console.h"
#include "tests/console/fake_instrument.h"

namespace cornerbench::console::testing {

/// A console and whoever talks to it.
struct Conversation {
    FakeInstrument instrument;
    Console console{instrument, {"cornerbench", "box", "17", "1.2"}};
    std::int64_t now_us = 0;

    /// Everything that has been answered and not yet taken.
    std::string take() {
        std::string text;
        for (const std::uint8_t byte : console.answers()) text += static_cast<char>(byte);
        console.sent(text.size());
        return text;
    }

    /// Sends `bytes` in pieces of `piece` and takes the answers.
    std::string send(std::string_view bytes, std::size_t piece = 1000) {
        std::string answers;
        while (!bytes.empty()) {
            const std::string_view part = bytes.substr(0, piece);
            const std::size_t taken =
                console.receive({reinterpret_cast<const std::uint8_t*>(part.data()), part.size()});
            bytes.remove_prefix(taken);
            while (console.step(now_us)) answers += take();
            answers += take();
        }
        return answers;
    }

    /// One line and its answer, without their ends.
    std::string ask(std::string_view line) {
        std::string answer = send(std::string(line) + "\n");
        if (!answer.empty() && answer.back() == '\n') answer.pop_back();
        return answer;
    }

    /// The oldest error's number.
    int error() { return std::stoi(ask("SYST:ERR?")); }
};

}  // namespace cornerbench::console::testing
