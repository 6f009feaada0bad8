#include <algorithm>
#include <catch2/catch.hpp>
#include <string>
#include <utility>

#include "tests/console/conversation.h"

using namespace cornerbench;
using namespace cornerbench::console;
using console::testing::Conversation;

namespace {

/// A peer at the other end of a port, which takes and gives as much as it likes at a time.
class Peer final : public hal::Line {
  public:
    std::string to_box;
    std::string from_box;
    std::size_t at_a_time = 1000;
    hal::Answer next = hal::Answer::done;

    hal::Answer receive(std::span<std::uint8_t> bytes, std::size_t& count) override {
        count = std::min({bytes.size(), to_box.size(), at_a_time});
        std::copy_n(to_box.begin(), count, bytes.begin());
        to_box.erase(0, count);
        return std::exchange(next, hal::Answer::done);
    }
    hal::Answer send(std::span<const std::uint8_t> bytes, std::size_t& count) override {
        count = std::min(bytes.size(), at_a_time);
        from_box.append(bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(count));
        return hal::Answer::done;
    }
};

struct Served {
    testing::FakeInstrument instrument;
    Console console{instrument};
    Peer peer;

    std::string serve(int rounds = 100) {
        for (int i = 0; i < rounds; ++i) console.serve(peer, 0);
        return std::exchange(peer.from_box, {});
    }
};

}  // namespace

TEST_CASE("A port is served however little it gives and takes at a time", "[console]") {
    for (const std::size_t at_a_time : {1u, 2u, 7u, 64u, 1000u}) {
        INFO(at_a_time);
        Served served;
        served.peer.at_a_time = at_a_time;
        served.peer.to_box = "*ESE 4;*ESE?\r\nMEAS?\nFOO\nSYST:ERR?\n";
        CHECK(served.serve() == "4\n14220\n-113,\"Undefined header;FOO\"\n");
    }
}

TEST_CASE("One round with a port is bounded", "[console]") {
    Served served;
    std::string line;
    for (int i = 0; i < 60; ++i) line += "ZERO;:";
    line.resize(251);
    for (int i = 0; i < 100; ++i) served.peer.to_box += "ZERO\n";
    served.console.serve(served.peer, 0);
    CHECK(served.instrument.zeros > 0);
    CHECK(served.instrument.zeros <= 16);
    (void)served.serve(20);
    CHECK(served.instrument.zeros == 100);
    served.peer.to_box = line + "\n";
    served.console.serve(served.peer, 0);
    CHECK(served.instrument.zeros <= 100 + 16);
}

TEST_CASE("A new peer does not get the old one's answers, nor its half a line", "[console]") {
    Served served;
    served.peer.at_a_time = 3;
    served.peer.to_box = "*IDN?\nCAL:RA";
    served.console.serve(served.peer, 0);
    (void)std::exchange(served.peer.from_box, {});
    served.peer.next = hal::Answer::disconnected;
    served.peer.to_box.clear();
    served.console.serve(served.peer, 0);
    CHECK(served.console.answers().empty());
    served.peer.to_box = "MEAS?\n";
    CHECK(served.serve() == "14220\n");
}

TEST_CASE("Bytes that were lost on the way in are an error, not another command", "[console]") {
    Served served;
    served.instrument.open_seal = true;
    served.peer.to_box = "CAL:";
    (void)served.serve(3);
    served.peer.next = hal::Answer::failed;
    served.peer.to_box = "RAT\nSYST:ERR?\n";
    CHECK(served.serve() == "-360,\"Communication error\"\n");
    CHECK(served.instrument.calibrations == 0);
}

TEST_CASE("Answers that nobody takes are kept whole or dropped whole, with an error", "[console]") {
    // IEEE 488.2 (1992), 6.3.1.7: deadlock, -430 (from memory).
    Conversation talk;
    const std::string line = "SYST:HELP:HEAD?\n";
    const std::string list = talk.send(line);
    std::size_t kept = 0;
    for (int i = 0; i < 5; ++i) {
        std::string_view left = line;
        while (!left.empty()) {
            left.remove_prefix(
                talk.console.receive({reinterpret_cast<const std::uint8_t*>(left.data()), left.size()}));
            while (talk.console.step(0)) continue;
        }
        kept = talk.console.answers().size();
        CHECK(kept % list.size() == 0);
    }
    CHECK(kept > 0);
    CHECK(kept <= answer_room);
    const std::string answers = talk.take();
    CHECK(answers.substr(0, list.size()) == list);
    CHECK(talk.error() == -430);
    CHECK((std::stoi(talk.ask("*ESR?")) & 4) != 0);
    CHECK(talk.ask("MEAS?") == "14220");
}

TEST_CASE("Answers taken in pieces come in order", "[console]") {
    Conversation talk;
    std::string sent;
    std::string taken;
    for (int i = 0; i < 500; ++i) {
        const std::string number = std::to_string(i % 256);
        const std::string line = "*ESE " + number + ";*ESE?\n";
        sent += number + "\n";
        (void)talk.console.receive({reinterpret_cast<const std::uint8_t*>(line.data()), line.size()});
        while (talk.console.step(0)) continue;
        const auto waiting = talk.console.answers();
        const std::size_t piece = std::min<std::size_t>(waiting.size(), static_cast<std::size_t>(i % 7));
        taken.append(waiting.begin(), waiting.begin() + static_cast<std::ptrdiff_t>(piece));
        talk.console.sent(piece);
    }
    taken += talk.take();
    CHECK(taken == sent);
}
