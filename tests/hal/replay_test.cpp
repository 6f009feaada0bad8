#include <algorithm>
#include <catch2/catch.hpp>
#include <memory>
#include <random>
#include <string>

#include "tests/hal/random_session.h"
#include "tests/hal/recorded_rigs.h"
#include "tests/hal/sealed_text.h"

using namespace cornerbench::hal;

// That a replay answers as the recorded board did, and finds every change of either, follows from what a
// recording is for: nothing outside the project states it.

namespace {

constexpr int steps = 120;

SimulatedBoardParts parts_of(std::uint64_t seed) {
    SimulatedBoardParts parts;
    parts.converter.channels = 1 + static_cast<int>(seed % 16);
    parts.converter.full_scale_V_per_V = 0.0039;
    parts.kick_within_us = 45'000;
    parts.start_us = static_cast<Microseconds>(seed) * 1'000'000'007;
    return parts;
}

struct Recorded {
    std::string text;
    std::string got;
    int calls = 0;
    std::vector<std::uint64_t> lines_before_call;
};

Recorded record(std::uint64_t seed) {
    RecordingRig rig(parts_of(seed));
    RandomSession session(seed);
    for (int i = 0; i < steps; ++i) session.step(rig);
    return {rig.ended(), session.got, session.calls, {}};
}

void replay(ReplayRig& rig, RandomSession& session) {
    for (int i = 0; i < steps; ++i) session.step(rig);
    rig.replay.goes_on();
}

std::uint64_t line_of(std::string_view text, std::size_t place) {
    return 1 + static_cast<std::uint64_t>(
                   std::count(text.begin(), text.begin() + static_cast<long>(place), '\n'));
}

}  // namespace

TEST_CASE("a random session's recording replays without a difference, answer by answer", "[hal]") {
    std::size_t starts = 0;
    for (std::uint64_t seed = 1; seed <= 150; ++seed) {
        CAPTURE(seed);
        const Recorded recorded = record(seed);
        CHECK(recorded.text == record(seed).text);
        ReplayRig rig(recorded.text);
        RandomSession session(seed);
        replay(rig, session);
        CAPTURE(rig.replay.line(), rig.replay.recorded(), rig.replay.came());
        REQUIRE(rig.replay.state() == ReplayState::finished);
        CHECK(session.got == recorded.got);
        CHECK(rig.replay.step() == steps);
        CHECK(rig.replay.board().converter.traits() == parts_of(seed).converter);
        starts += static_cast<std::size_t>(recorded.text.find("\nstart ") != std::string::npos);
    }
    CHECK(starts > 20);
}

TEST_CASE("a changed character of a recording is found in its line", "[hal]") {
    std::mt19937_64 random(4711);
    for (std::uint64_t seed = 1; seed <= 4; ++seed) {
        const Recorded recorded = record(seed);
        for (int turn = 0; turn < 300; ++turn) {
            std::string changed = recorded.text;
            const std::size_t place = random() % changed.size();
            const char instead = static_cast<char>(' ' + random() % 95);
            if (changed[place] == '\n' || changed[place] == instead) continue;
            changed[place] = instead;
            CAPTURE(seed, place, instead);
            ReplayRig rig(changed);
            RandomSession session(seed);
            replay(rig, session);
            CHECK(rig.replay.state() != ReplayState::finished);
            CHECK(rig.replay.state() != ReplayState::running);
            CHECK(rig.replay.state() != ReplayState::different);
            CHECK(rig.replay.line() == line_of(changed, place));
        }
    }
}

TEST_CASE("a call that was not recorded is found at its place and named", "[hal]") {
    std::mt19937_64 random(4712);
    for (std::uint64_t seed = 1; seed <= 30; ++seed) {
        const Recorded recorded = record(seed);
        for (int turn = 0; turn < 10; ++turn) {
            const int call = static_cast<int>(random() % static_cast<unsigned>(recorded.calls));
            RecordingRig until(parts_of(seed));
            RandomSession deviating(seed);
            deviating.deviate_at_call = call;
            std::uint64_t lines_before = 0;
            for (int i = 0; i < steps && deviating.calls <= call; ++i) {
                lines_before = until.sink.lines;
                deviating.step(until);
            }
            const std::uint64_t lines_after = until.sink.lines;

            ReplayRig rig(recorded.text);
            RandomSession session(seed);
            session.deviate_at_call = call;
            replay(rig, session);
            CAPTURE(seed, call, rig.replay.recorded());
            CHECK(rig.replay.state() == ReplayState::different);
            CHECK(rig.replay.came() == "Memory::start_erase block 999999");
            CHECK(rig.replay.recorded() != "");
            CHECK(rig.replay.line() > lines_before);
            CHECK(rig.replay.line() <= lines_after + 2);
        }
    }
}

TEST_CASE("a recording that stops early is truncated, at the line that is missing", "[hal]") {
    const Recorded recorded = record(3);
    for (std::size_t size = 0; size < recorded.text.size(); size += 97) {
        const std::string part = recorded.text.substr(0, size);
        ReplayRig rig(part);
        RandomSession session(3);
        replay(rig, session);
        const bool title_cut = size < recorded.text.find('\n') - 1;
        CHECK(rig.replay.state() == (title_cut ? ReplayState::not_a_recording : ReplayState::truncated));
        CHECK(rig.replay.line() == line_of(part, part.size()));
    }
}

TEST_CASE("nothing that a recording says makes a replay crash, hang or claim what is not so", "[hal]") {
    std::mt19937_64 random(4713);
    const Recorded recorded = record(5);
    std::size_t got_far = 0;
    for (int turn = 0; turn < 2000; ++turn) {
        std::string text = recorded.text;
        for (std::uint64_t change = 1 + random() % 4; change > 0; --change) {
            const std::size_t place = random() % text.size();
            const std::uint64_t what = random() % 4;
            if (what == 0) text.erase(place, 1 + random() % 40);
            const std::size_t length = random() % 80;
            if (what == 1) text.insert(place, text.substr(random() % text.size(), length));
            if (what == 2) text[place] = static_cast<char>(random() % 256);
            if (what == 3) text[place] = "0123456789 -\"=@F!"[random() % 17];
        }
        ReplayRig raw(text);
        RandomSession session(5);
        replay(raw, session);
        CHECK(raw.replay.state() != ReplayState::running);

        const std::string good_seals = sealed_anew(text);
        ReplayRig rig(good_seals);
        RandomSession again(5);
        replay(rig, again);
        CHECK((rig.replay.state() != ReplayState::finished || again.got.size() > 1000));
        got_far += static_cast<std::size_t>(rig.replay.state() == ReplayState::malformed ||
                                            rig.replay.state() == ReplayState::different);
    }
    CHECK(got_far > 1000);
}

TEST_CASE("random bytes are no recording", "[hal]") {
    std::mt19937_64 random(4714);
    for (int turn = 0; turn < 200; ++turn) {
        std::string text = turn % 2 == 0 ? "" : record(1).text.substr(0, 300);
        const std::size_t kept = text.size();
        for (int i = 0; i < 10'000; ++i) text += static_cast<char>(random() % 256);
        ReplayRig rig(text);
        RandomSession session(1);
        replay(rig, session);
        CHECK(rig.replay.state() == (kept == 0 ? ReplayState::not_a_recording : rig.replay.state()));
        CHECK(rig.replay.state() != ReplayState::finished);
        CHECK(rig.replay.state() != ReplayState::running);
    }
}
