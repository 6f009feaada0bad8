#include "hal/conformance/check_board.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <string>

#include "tests/hal/recorded_rigs.h"

using namespace cornerbench::hal;

namespace {

// The contracts in hal/*.h, point by point: nothing outside the project states them.
std::string breaches_of(const Findings& findings) {
    std::string text;
    for (std::size_t i = 0; i < std::min<std::size_t>(findings.breaches(), 16); ++i) {
        const Findings::Breach& breach = findings.breach(i);
        text += std::string(breach.promise) + " (" + breach.file + ":" + std::to_string(breach.line) + ")\n";
    }
    return text;
}

}  // namespace

TEST_CASE("a simulated board keeps what the ports promise", "[hal]") {
    class PlainRig final : public SimulatedRig {
        using SimulatedRig::SimulatedRig;
    };
    for (const SimulatedBoardParts& parts : boards_to_check()) {
        PlainRig rig(parts);
        Findings findings;
        check_board(rig, findings);
        CHECK(breaches_of(findings) == "");
        CHECK(findings.checks() > 500);
        // A converter of 32 bits cannot be driven beyond its range by codes of 32 bits.
        CHECK(findings.left_out_checks() == (parts.converter.bits == 32 ? 1u : 0u));
    }
}

TEST_CASE("so does a recording board around it, and a replay of what it wrote", "[hal]") {
    for (const SimulatedBoardParts& parts : boards_to_check()) {
        RecordingRig recording(parts);
        Findings findings;
        check_board(recording, findings);
        CHECK(breaches_of(findings) == "");

        ReplayRig replayed(recording.ended());
        Findings again;
        check_board(replayed, again);
        CHECK(breaches_of(again) == "");
        CHECK_FALSE(replayed.replay.goes_on());
        CAPTURE(replayed.replay.line(), replayed.replay.recorded(), replayed.replay.came());
        CHECK(replayed.replay.state() == ReplayState::finished);
        // What the firmware gave is compared by the replay itself: nobody looks at it from outside.
        CHECK(again.checks() + 5000 > findings.checks());
    }
}

TEST_CASE("the example in the suite's README is the one that is built", "[hal]") {
    const auto text_of = [](const std::string& name) {
        std::ifstream in(std::string(CORNERBENCH_SOURCE_DIR) + "/hal/conformance/" + name);
        return std::string(std::istreambuf_iterator<char>(in), {});
    };
    const std::string example = text_of("example/own_board.cpp");
    CHECK(example.size() > 200);
    CHECK(text_of("README.md").find("```cpp\n" + example + "```\n") != std::string::npos);
}
