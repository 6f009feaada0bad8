#include <catch2/catch.hpp>
#include <fstream>
#include <memory>
#include <random>
#include <sstream>
#include <string>

#include "tests/hal/recorded_rigs.h"

using namespace cornerbench::hal;

// hal/recorded/FORMAT.md states the format: nothing outside the project does.

namespace {

/// The page's example: the first block between fences that begins with a recording's title.
std::string example_in_format_page() {
    std::ifstream file(CORNERBENCH_SOURCE_DIR "/hal/recorded/FORMAT.md");
    std::stringstream page;
    page << file.rdbuf();
    const std::string text = page.str();
    const std::size_t start = text.find("```\ncornerbench recording");
    if (start == std::string::npos) return {};
    return text.substr(start + 4, text.find("```", start + 4) - start - 4);
}

/// One step of a firmware that says `answer` to whoever asks.
void step(const Board& board, std::string_view answer) {
    Microseconds now = 0;
    if (board.clock.now(now) != Answer::done) return;
    std::array<Frame, 4> frames{};
    std::size_t count = 0;
    if (board.converter.take(now, frames, count) != Answer::done) return;
    std::array<std::uint8_t, 64> bytes{};
    if (board.line.receive(bytes, count) != Answer::done) return;
    std::array<std::uint8_t, 64> reply{};
    const std::size_t size = answer.copy(reinterpret_cast<char*>(reply.data()), reply.size());
    if (count > 0 && board.line.send(std::span(reply).first(size), count) != Answer::done) return;
    if (board.supervisor.kick(now) != Answer::done) return;
}

std::string record_example() {
    SimulatedBoardParts parts;
    parts.converter.channels = 2;
    parts.converter.full_scale_V_per_V = 0.0039;
    RecordingRig rig(parts);
    for (int i = 0; i < 8; ++i) {
        rig.pass(10'000);
        rig.convert(std::array<std::int32_t, 2>{1000 + i * i, i < 3 ? 2000 : 2001});
        if (i == 4) rig.peer_sends(std::array<std::uint8_t, 3>{'W', '?', '\n'});
        step(rig.board(), "12340 kg\n");
    }
    return rig.ended();
}

}  // namespace

TEST_CASE("the example of the format's page is what a recording board writes", "[hal]") {
    CHECK(example_in_format_page() == record_example());
}

TEST_CASE("a firmware that says something else is found at the line, byte and call", "[hal]") {
    const std::string recorded = record_example();
    ReplayRig rig(recorded);
    int steps = 0;
    while (rig.replay.goes_on()) {
        step(rig.replay.board(), "12360 kg\n");
        ++steps;
    }
    CHECK(rig.replay.state() == ReplayState::different);
    CHECK(rig.replay.recorded() == "Line::send offered 9, byte 3 is 52 in \"12340 kg\\010\"");
    CHECK(rig.replay.came() == "Line::send offered 9, byte 3 is 54 in \"12360 kg\\010\"");
    CHECK(steps == 5);
    CHECK(rig.replay.step() == 5);
    CHECK(rig.replay.time_us() == 50'000);
    const std::size_t place = recorded.find("\"12340 kg");
    CHECK(rig.replay.line() ==
          1u + static_cast<std::uint64_t>(
                   std::count(recorded.begin(), recorded.begin() + static_cast<long>(place), '\n')));

    // From here on nothing changes and nothing is answered.
    Microseconds now = 77;
    const std::uint64_t line = rig.replay.line();
    CHECK(rig.replay.board().clock.now(now) == Answer::failed);
    CHECK(now == 77);
    CHECK_FALSE(rig.replay.board().supervisor.supply_good(0));
    CHECK(rig.replay.board().panel.show({}) == Answer::failed);
    std::array<Frame, 2> frames;
    std::size_t count = 9;
    CHECK(rig.replay.board().converter.take(0, frames, count) == Answer::failed);
    CHECK(count == 0);
    CHECK(rig.replay.line() == line);
    CHECK(rig.replay.recorded() == "Line::send offered 9, byte 3 is 52 in \"12340 kg\\010\"");
}

TEST_CASE("a firmware that says it shorter is found at its call", "[hal]") {
    const std::string recorded = record_example();
    ReplayRig rig(recorded);
    while (rig.replay.goes_on()) step(rig.replay.board(), "1234 kg\n");
    CHECK(rig.replay.state() == ReplayState::different);
    CHECK(rig.replay.recorded() == "Line::send offered 9");
    CHECK(rig.replay.came() == "Line::send offered 8");
}

TEST_CASE("another version, another file and none are told apart", "[hal]") {
    const auto state_of = [](const std::string& text) {
        TextInMemory source(text);
        return ReplayedBoard(source).state();
    };
    const std::string good = record_example();
    CHECK(state_of(good) == ReplayState::running);
    CHECK(state_of("cornerbench recording 2" + good.substr(good.find('\n') - 1)) ==
          ReplayState::wrong_version);
    CHECK(state_of("name = \"a scale\"\n") == ReplayState::not_a_recording);
    CHECK(state_of("") == ReplayState::not_a_recording);
    CHECK(state_of(good.substr(0, 30)) == ReplayState::truncated);
    std::string first_changed = good;
    first_changed.insert(good.find('\n'), 1, '\r');
    CHECK(state_of(first_changed) == ReplayState::line_ends);
    CHECK(state_of("name = \"a scale\"\r\n") == ReplayState::not_a_recording);
}

TEST_CASE("what follows a recording's end, and line ends that were changed, are found in their line",
          "[hal]") {
    const std::string good = record_example();
    const auto lines = static_cast<std::uint64_t>(std::count(good.begin(), good.end(), '\n'));
    const auto replay_of = [](const std::string& text, std::uint64_t& line) {
        ReplayRig rig(text);
        while (rig.replay.goes_on()) step(rig.replay.board(), "12340 kg\n");
        line = rig.replay.line();
        return rig.replay.state();
    };
    std::uint64_t line = 0;
    CHECK(replay_of(good, line) == ReplayState::finished);
    CHECK(line == lines);
    for (const std::string& more : {good, std::string("extra\n"), std::string("\n"), std::string("x")}) {
        CHECK(replay_of(good + more, line) == ReplayState::continued);
        CHECK(line == lines + 1);
    }
    std::string late = good;
    late.insert(late.size() - 1, 1, '\r');
    CHECK(replay_of(late, line) == ReplayState::line_ends);
    CHECK(line == lines);
}

TEST_CASE("a source that fails is no end of a recording", "[hal]") {
    class FailingSource final : public TextSource {
      public:
        explicit FailingSource(std::string_view text) : text_(text) {}
        Answer read(std::span<char> text, std::size_t& count) override {
            if (++calls_ > 1) return Answer::failed;
            return text_.read(text.first(200), count);
        }

      private:
        TextInMemory text_;
        int calls_ = 0;
    };
    const std::string recorded = record_example();
    FailingSource source(recorded);
    ReplayedBoard replay(source);
    while (replay.goes_on()) step(replay.board(), "12340 kg\n");
    CHECK(replay.state() == ReplayState::unreadable);
}

TEST_CASE("a sink that refuses a line makes the recording incomplete, and the board goes on", "[hal]") {
    RecordingRig rig;
    rig.sink.room = 1;
    RecordingBoard board(rig.simulated().board(), rig.sink);
    CHECK_FALSE(board.complete());
    Microseconds now = 77;
    CHECK(board.board().clock.now(now) == Answer::done);
    CHECK(now == 0);
    CHECK(rig.sink.lines == 5);
}

TEST_CASE("a quiet step costs a recording its frame's changes, a seal and a line's end", "[hal]") {
    std::mt19937_64 random(1);
    for (const int channels : {1, 8}) {
        SimulatedBoardParts parts;
        parts.converter.channels = channels;
        RecordingRig rig(parts);
        std::size_t before = 0;
        constexpr std::size_t steps = 10'000;
        for (std::size_t i = 0; i < steps; ++i) {
            rig.pass(10'000);
            std::array<std::int32_t, 8> codes{};
            for (std::int32_t& code : codes) code = 1'000'000 + static_cast<std::int32_t>(random() % 400);
            rig.convert(std::span(codes).first(static_cast<std::size_t>(channels)));
            step(rig.board(), "");
            if (i == 100) before = rig.sink.text.size();
        }
        // At most "-399" and a blank for each change, and never another line.
        const std::size_t size = rig.sink.text.size() - before;
        CHECK(size <= (steps - 100) * (5 * static_cast<std::size_t>(channels) + 1));
        CHECK(rig.sink.lines <= steps + 20);
    }
}

TEST_CASE("times, codes and counts at the ends of their types come back as they were", "[hal]") {
    SimulatedBoardParts parts;
    parts.converter.bits = 32;
    parts.start_us = 9'223'372'036'854'000'000;
    RecordingRig rig(parts);
    const auto feed = [](Frame frame, SimulatedConverter& converter) { converter.push_as_is(frame); };
    Frame odd;
    odd.sequence = 4'294'967'295u;
    odd.taken_us = -9'223'372'036'854'775'807;
    odd.code[0] = -2'147'483'648;
    odd.fault[0] = 255;
    odd.check = 12345;
    feed(odd, rig.simulated().converter);
    Frame other = odd;
    other.sequence = 0;
    other.taken_us = 9'223'372'036'853'999'999;
    other.code[0] = 2'147'483'647;
    feed(other, rig.simulated().converter);
    const auto run = [](const Board& board, std::array<Frame, 4>& frames) {
        Microseconds now = 0;
        REQUIRE(board.clock.now(now) == Answer::done);
        std::size_t count = 0;
        REQUIRE(board.converter.take(now, frames, count) == Answer::done);
        return count;
    };
    std::array<Frame, 4> first{};
    std::array<Frame, 4> again{};
    REQUIRE(run(rig.board(), first) == 2);
    CHECK(first[0] == odd);
    ReplayRig replayed(rig.ended());
    REQUIRE(run(replayed.board(), again) == 2);
    CHECK(again == first);
}
