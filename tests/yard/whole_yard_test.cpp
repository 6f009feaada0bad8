#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <vector>

#include "tests/hal/recorded_rigs.h"
#include "tests/yard/yard_acts.h"

using namespace cornerbench;
using namespace cornerbench::tests;

namespace {

constexpr int acts = 60;

/// The history once more, recorded: the same seed is the same run.
std::string recording_of(const ShippedScale& scale, std::uint64_t seed) {
    hal::StringSink sink;
    YardHistory history(scale, seed);
    history.record(sink);
    (void)history.wrong(acts);
    history.end_recording();
    const auto path =
        std::filesystem::temp_directory_path() / ("whole-yard-" + std::to_string(seed) + ".recording");
    std::ofstream(path, std::ios::binary) << sink.text;
    return path.string();
}

void add(const YardTally& one, YardTally& sum) {
    sum.shown += one.shown;
    sum.held_to_truth += one.held_to_truth;
    for (const auto& [cause, count] : one.wrong_with) sum.wrong_with[cause] += count;
    sum.printed += one.printed;
    sum.tared += one.tared;
    sum.zeroed += one.zeroed;
    sum.power_cuts += one.power_cuts;
    sum.refused_calibrations += one.refused_calibrations;
}

YardTally require_histories(std::uint64_t first, std::uint64_t count) {
    std::vector<ShippedScale> scales;
    for (const char* name : shipped_scales) scales.emplace_back(name);
    YardTally sum;
    for (std::uint64_t seed = first; seed < first + count; ++seed) {
        const ShippedScale& scale = scales[seed % scales.size()];
        YardHistory history(scale, seed);
        const std::string wrong = history.wrong(acts);
        add(history.tally(), sum);
        if (wrong.empty()) continue;
        FAIL(scale.file.name << ", seed " << seed << ": " << wrong << "\n  replay: cornerbench replay "
                             << recording_of(scale, seed));
    }
    return sum;
}

}  // namespace

TEST_CASE("over random histories of a yard, a weight is shown within its limits or not at all", "[yard]") {
    const YardTally tally = require_histories(1, 150);
    // Nothing above is empty talk.
    CHECK(tally.shown > 100'000);
    CHECK(tally.held_to_truth > 50'000);
    CHECK(tally.printed > 20);
    CHECK(tally.tared > 20);
    CHECK(tally.zeroed > 20);
    CHECK(tally.power_cuts > 100);
    CHECK(tally.refused_calibrations > 20);
}

TEST_CASE("over many more random histories of a yard the same holds", "[yard][campaign]") {
    const YardTally tally = require_histories(151, 4000);
    // What no firmware could notice is a class of its own, sim/bad_days/unnoticeable.h: each of its causes
    // has shown a stable, wrong weight, so none stands there without need.
    for (const char* name : {"quarry-8", "harbour-8", "depot-6"}) {
        const ShippedScale scale(name);
        for (int i = 0; i < scale::cause_count; ++i) {
            const auto cause = static_cast<scale::Cause>(i);
            INFO(name << ", " << scale::name_of(cause));
            if (why_unnoticeable(scale.description(), cause) == nullptr) continue;
            const auto wrong = tally.wrong_with.find(cause);
            CHECK((wrong != tally.wrong_with.end() && wrong->second > 0));
        }
    }
}
