#include <array>
#include <catch2/catch.hpp>
#include <memory>
#include <string>

#include "firmware/indicator.h"
#include "tests/hal/recorded_rigs.h"
#include "tests/indicator/indicator_bench.h"
#include "tests/weighing/frames.h"

using namespace cornerbench;

// That one firmware on the same inputs says the same follows from determinism: nothing outside the project
// states it.

namespace {

/// What somebody does at the indicator before this step: calibrates it with nothing and with 30 t.
console::Refusal act(Indicator& indicator, int step) {
    if (step == 450) return indicator.calibration_point(0.0);
    if (step == 950) return indicator.calibration_point(30000.0);
    if (step == 960) return indicator.calibrate();
    return console::Refusal::none;
}

/// Half a minute of an indicator with keys, a load, bytes and a power cut.
std::string record_indicator(const IndicatorSettings& settings) {
    weighing_test::FrameMaker maker(settings.weigher.converter);
    hal::SimulatedBoardParts parts;
    parts.converter = settings.weigher.converter;
    parts.start_us = maker.now_us();
    hal::RecordingRig rig(parts);
    auto indicator = std::make_unique<Indicator>(rig.board(), settings);
    for (int i = 0; i < 3000; ++i) {
        const std::int64_t now_us = maker.now_us();
        rig.set_seal_open(i < 1000);
        rig.simulated().converter.push_as_is(maker.next(i % 1000 > 500 ? 0.7e-3 : 0.2e-3, 13.0));
        rig.simulated().advance_to(now_us);
        if (i % 700 == 300) rig.press(hal::Key::zero);
        if (i % 500 == 400) rig.peer_sends(std::array<std::uint8_t, 3>{'x', '?', '\n'});
        if (i == 1800) {
            rig.cut_power();
            indicator = std::make_unique<Indicator>(rig.board(), settings);
        }
        REQUIRE(act(*indicator, i) == console::Refusal::none);
        indicator->step();
    }
    CHECK(indicator->calibrated());
    return rig.ended();
}

hal::ReplayState replay_indicator(const std::string& text, const IndicatorSettings& settings,
                                  std::string& came) {
    hal::TextInMemory source(text);
    const auto replay = std::make_unique<hal::ReplayedBoard>(source);
    auto indicator = std::make_unique<Indicator>(replay->board(), settings);
    for (int i = 0; replay->goes_on(); ++i) {
        if (replay->starts_anew()) indicator = std::make_unique<Indicator>(replay->board(), settings);
        act(*indicator, i);
        indicator->step();
    }
    came = replay->came();
    return replay->state();
}

}  // namespace

TEST_CASE("an indicator's recording replays without a difference, and another setting shows", "[hal]") {
    const IndicatorSettings settings = indicator_test::bench_settings();
    const std::string text = record_indicator(settings);
    CHECK(text == record_indicator(settings));
    std::string came;
    CHECK(replay_indicator(text, settings, came) == hal::ReplayState::finished);
    CHECK(came == "");

    IndicatorSettings other = settings;
    other.weigher.ranges.ranges[0].division_kg = 200.0;
    CHECK(replay_indicator(text, other, came) == hal::ReplayState::different);
    CHECK(came.starts_with("Panel::show"));
}
