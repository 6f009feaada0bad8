#include "tests/console/random_lines.h"

#include <catch2/catch.hpp>
#include <string>

using namespace cornerbench;
using namespace cornerbench::console;
using console::testing::Conversation;
using console::testing::RandomLines;

namespace {

constexpr int tries = 10000;

std::string printable(const std::string& line) {
    std::string text;
    for (const char c : line)
        text +=
            c >= ' ' && c <= '~' ? std::string(1, c) : "\\" + std::to_string(static_cast<unsigned char>(c));
    return text;
}

}  // namespace

TEST_CASE("Whatever is sent, the console goes on and no calibration changes by itself", "[console]") {
    RandomLines lines(5);
    for (int i = 0; i < tries; ++i) {
        const std::string bytes = i % 2 == 0 ? lines.bytes() : lines.line();
        INFO("try " << i << ": " << printable(bytes));
        REQUIRE(testing::violation(bytes, false) == "");
        REQUIRE(testing::violation(bytes, true) == "");
    }
}

TEST_CASE("A query is answered or there is an error, never both and never neither", "[console]") {
    RandomLines lines(6);
    int answered = 0;
    int refused = 0;
    std::uint32_t calibrated = 0;
    for (int i = 0; i < tries; ++i) {
        Conversation talk;
        talk.instrument.open_seal = lines.below(2) == 0;
        talk.instrument.key_answer = static_cast<Refusal>(lines.below(4));
        // One unit a line: with more, some may be answered and others not.
        std::string line = lines.line();
        for (char& c : line)
            if (c == ';' || c == '\n' || c == '\r') c = ' ';
        INFO("try " << i << ": " << printable(line));
        const std::string answer = talk.send(line + "\n");
        const int errors = talk.console.errors().count();
        REQUIRE(errors <= 1);
        REQUIRE((answer.empty() || errors == 0));
        if (errors == 1) {
            const int error = talk.error();
            REQUIRE(error <= -100);
            REQUIRE(error > -500);
        }
        // Only a command has neither answer nor error.
        if (errors == 0 && answer.empty() && line.find_first_not_of(" \t") != std::string::npos)
            REQUIRE(line.find('?') == std::string::npos);
        answered += answer.empty() ? 0 : 1;
        refused += errors;
        calibrated += talk.instrument.calibrations;
    }
    CHECK(answered > tries / 10);
    CHECK(refused > tries / 10);
    // What must not happen by itself does happen when it is asked for.
    CHECK(calibrated > 0);
}

TEST_CASE("Byte by byte the answers are the same as in whole blocks", "[console]") {
    RandomLines lines(7);
    for (int i = 0; i < 1000; ++i) {
        std::string bytes;
        for (int k = 0; k < 8; ++k) bytes += (k % 4 == 3 ? lines.bytes() : lines.line()) + "\n";
        bytes += "*ESR?;:SYST:ERR?;ERR?;ERR?;:SYST:ERR:COUN?\n";
        INFO("try " << i << ": " << printable(bytes));
        Conversation whole;
        Conversation slow;
        Conversation pieces;
        const std::string answers = whole.send(bytes, bytes.size());
        REQUIRE(slow.send(bytes, 1) == answers);
        REQUIRE(pieces.send(bytes, 1 + lines.below(60)) == answers);
        REQUIRE(whole.instrument.zeros == slow.instrument.zeros);
        REQUIRE(whole.instrument.preset_kg == slow.instrument.preset_kg);
    }
}

TEST_CASE("Well-formed lines of random headers are never a command error", "[console]") {
    RandomLines lines(8);
    for (int i = 0; i < 2000; ++i) {
        Conversation talk;
        std::string header = lines.command();
        header = header.substr(0, header.find(' '));
        const bool numbered = header.find('0') != std::string::npos || header.find('5') != std::string::npos;
        talk.ask(header);
        const int error = talk.error();
        INFO(header << " " << error);
        CHECK((error == 0 || error == -109 || error <= -200 || (numbered && error == -114)));
    }
}
