#include "firmware/indicator.h"

#include <catch2/catch.hpp>
#include <string>

#include "tests/indicator/indicator_bench.h"

using namespace cornerbench;
using console::Refusal;
using indicator_test::bench_settings;
using indicator_test::IndicatorBench;
using weighing::NoWeight;

namespace {

std::string text_of(std::span<const char> bytes) {
    std::string text(bytes.begin(), bytes.end());
    return text.substr(0, text.find('\0'));
}

}  // namespace

TEST_CASE("a box that was never set up says so until it is calibrated with weights", "[indicator]") {
    IndicatorBench bench;
    bench.weigh(0.0, 3.0);
    CHECK(bench.readout().why == NoWeight::not_calibrated);
    CHECK(text_of(bench.board().panel.picture().words) == "not calibrated");
    CHECK(bench.indicator().calibration_point(0.0) == Refusal::sealed);
    bench.calibrate();
    REQUIRE(bench.readout().has_weight());
    CHECK(bench.readout().gross.digits == 30'000);
    CHECK(text_of(bench.board().panel.picture().digits) == "   30000");
    CHECK(text_of(bench.board().panel.picture().unit) == "kg");
    CHECK(bench.indicator().calibration_changes() == 1);
    bench.weigh(12'345.0, 3.0);
    CHECK(bench.readout().gross.digits == 12'340);
}

TEST_CASE("a calibration outlives power cuts, with its zero and its counters", "[indicator]") {
    IndicatorBench bench;
    bench.calibrate();
    bench.weigh(100.0, 3.0);
    REQUIRE(bench.indicator().zero() == Refusal::none);
    bench.weigh(100.0, 1.0);
    for (int cut = 0; cut < 3; ++cut) {
        // A truck stands on the deck when power comes back: it is weighed and not taken for zero.
        bench.restart(static_cast<std::uint64_t>(cut));
        CHECK(bench.readout().why == NoWeight::starting);
        bench.weigh(4'100.0, 3.0);
        REQUIRE(bench.readout().has_weight());
        CHECK(bench.readout().gross.digits == 4'000);
        CHECK(bench.indicator().calibration_changes() == 1);
    }
}

TEST_CASE("with an initial zero at power-on a small load is zero", "[indicator]") {
    IndicatorSettings settings = bench_settings();
    settings.find_zero_at_power_on = true;
    IndicatorBench bench(settings);
    bench.calibrate();
    bench.weigh(0.0, 3.0);
    bench.restart();
    bench.weigh(4'000.0, 3.0);
    CHECK(bench.readout().gross.digits == 0);
}

TEST_CASE("damaged settings show no weight rather than a default", "[indicator]") {
    IndicatorBench bench;
    bench.calibrate();
    const std::array<std::uint8_t, 8> zeroes{};
    for (std::uint32_t block = 0; block < 2; ++block)
        for (std::uint32_t offset = 0; offset < 4096; offset += 32) {
            REQUIRE(bench.board().memory.start_program(block, offset, zeroes) == hal::Answer::done);
            bench.weigh(0.0, 0.1);
            REQUIRE(bench.board().memory.poll(bench.board().clock.time_us()) == hal::Answer::done);
        }
    bench.restart();
    bench.weigh(0.0, 3.0);
    CHECK(bench.readout().why == NoWeight::settings_lost);
}

TEST_CASE("a seal keeps every word away from the calibration", "[indicator]") {
    IndicatorBench bench;
    bench.calibrate();
    bench.weigh(0.0, 3.0);
    const storage::Kept before = bench.indicator().kept();
    CHECK(bench.indicator().calibration_point(1'000.0) == Refusal::sealed);
    CHECK(bench.indicator().calibrate() == Refusal::sealed);
    CHECK(bench.indicator().calibrate_by_rating() == Refusal::sealed);
    CHECK(bench.indicator().move_gravity(9.80, 9.81) == Refusal::sealed);
    CHECK(bench.indicator().set_corner_gain(0, 1.01) == Refusal::sealed);
    bench.weigh(0.0, 1.0);
    CHECK(bench.indicator().kept() == before);
}

TEST_CASE("points that make no calibration change nothing", "[indicator]") {
    IndicatorBench bench;
    bench.calibrate();
    bench.board().supervisor.set_seal_open(true);
    const storage::Kept before = bench.indicator().kept();
    bench.weigh(0.0, 3.0);
    REQUIRE(bench.indicator().calibration_point(0.0) == Refusal::none);
    REQUIRE(bench.indicator().calibration_point(20'000.0) == Refusal::none);  // nobody put it on
    CHECK(bench.indicator().calibrate() == Refusal::bad_fit);
    CHECK(bench.indicator().calibration_error() != weighing::CalibrationError::none);
    bench.weigh(0.0, 1.0);
    CHECK(bench.indicator().kept() == before);
    CHECK(bench.indicator().calibration_points() == 2);
    bench.indicator().forget_points();
    CHECK(bench.indicator().calibrate() == Refusal::bad_fit);
    CHECK(bench.indicator().calibration_point(-1.0) == Refusal::out_of_range);
    CHECK(bench.indicator().calibration_point(60'001.0) == Refusal::out_of_range);
    bench.weigh(10'000.0, 0.3);
    CHECK(bench.indicator().calibration_point(10'000.0) == Refusal::not_stable);
}

TEST_CASE("a calibration that the memory does not take is not put in force", "[indicator]") {
    IndicatorBench bench;
    bench.calibrate();
    bench.board().supervisor.set_seal_open(true);
    const storage::Kept before = bench.indicator().kept();
    bench.board().memory.fail(hal::MemoryOperation::program, 1000);
    REQUIRE(bench.indicator().move_gravity(9.80, 9.82) == Refusal::none);
    CHECK(bench.indicator().storing());
    bench.weigh(0.0, 5.0);
    CHECK_FALSE(bench.indicator().storing());
    CHECK(bench.indicator().kept() == before);
}

TEST_CASE("plates and gravity calibrate as the sums say", "[indicator]") {
    // Eight cells of 30 t and 2 mV/V on one bus: Max 60 t gives 2 * 60 / 240 = 0.5 mV/V at standard gravity.
    IndicatorBench bench;
    bench.board().supervisor.set_seal_open(true);
    bench.weigh(0.0, 3.0);
    REQUIRE(bench.indicator().calibrate_by_rating() == Refusal::none);
    bench.weigh(0.0, 1.0);
    CHECK(bench.indicator().calibration().kg_per_ratio == Approx(60'000.0 / 0.5e-3).epsilon(1.0e-12));
    CHECK(bench.indicator().calibration().zero_ratio == Approx(0.2e-3).margin(2.0e-9));
    // What was set at 9.82 reads too little at 9.80: the span grows by their ratio.
    REQUIRE(bench.indicator().move_gravity(9.82, 9.80) == Refusal::none);
    bench.weigh(0.0, 1.0);
    CHECK(bench.indicator().calibration().kg_per_ratio ==
          Approx(60'000.0 / 0.5e-3 * 9.82 / 9.80).epsilon(1.0e-12));
    CHECK(bench.indicator().calibration_changes() == 2);
    CHECK(bench.indicator().move_gravity(9.8, 98.0) == Refusal::out_of_range);
}

TEST_CASE("keys do what they say, and what they refuse changes nothing", "[indicator]") {
    IndicatorBench bench;
    bench.calibrate();
    bench.weigh(0.0, 3.0);
    bench.weigh(8'000.0, 3.0);
    bench.board().panel.press(hal::Key::print);
    bench.weigh(8'000.0, 0.1);
    CHECK(bench.indicator().ticket().number == 1);
    CHECK(bench.indicator().ticket().readout.gross.digits == 8'000);
    bench.board().panel.press(hal::Key::tare);
    bench.weigh(8'000.0, 0.1);
    CHECK(text_of(bench.board().panel.picture().digits) == "       0");
    CHECK((bench.board().panel.picture().lights & hal::light_net) != 0);
    bench.board().panel.press(hal::Key::unit);
    bench.weigh(20'000.0, 3.0);
    CHECK(text_of(bench.board().panel.picture().digits) == "   12.00");
    bench.board().panel.press(hal::Key::clear);
    bench.weigh(30'000.0, 0.2);
    bench.board().panel.press(hal::Key::print);  // in motion
    bench.weigh(30'000.0, 0.1);
    CHECK(bench.indicator().ticket().number == 1);
    bench.board().panel.press(hal::Key::zero);  // far from zero
    bench.weigh(30'000.0, 3.0);
    CHECK(text_of(bench.board().panel.picture().digits) == "   30.00");
}

TEST_CASE("a converter other than the settings' is never weighed by", "[indicator]") {
    IndicatorSettings settings = bench_settings();
    IndicatorBench bench(settings);
    bench.calibrate();
    IndicatorSettings other = settings;
    other.weigher.converter.full_scale_V_per_V = 2.0e-3;
    hal::SimulatedBoard& board = bench.board();
    board.start(hal::ResetCause::power_on, 1);
    auto wrong = std::make_unique<Indicator>(board.board(), other);
    wrong->step();
    CHECK(wrong->readout().why == NoWeight::settings_wrong);
}

TEST_CASE("a stopped clock, a low supply and a silent converter show no weight", "[indicator]") {
    IndicatorBench bench;
    bench.calibrate();
    bench.weigh(0.0, 3.0);
    REQUIRE(bench.readout().has_weight());
    bench.board().clock.set_stopped(true);
    bench.one_frame(0.0);
    CHECK(bench.readout().why == NoWeight::clock_stopped);
    bench.board().clock.set_stopped(false);
    bench.weigh(0.0, 1.0);
    CHECK(bench.readout().has_weight());
    bench.board().supervisor.set_supply_good(false);
    bench.one_frame(0.0);
    CHECK(bench.readout().why == NoWeight::supply_low);
    bench.board().supervisor.set_supply_good(true);
    bench.weigh(0.0, 1.0);
    bench.silence(0.5);
    CHECK(bench.readout().why == NoWeight::samples_stale);
    bench.weigh(0.0, 1.0);
    CHECK(bench.readout().has_weight());
}

TEST_CASE("equal runs have equal hashes, and a division more shows", "[indicator]") {
    const auto run = [](double load_kg) {
        IndicatorBench bench;
        bench.calibrate();
        bench.weigh(load_kg, 3.0);
        return bench.indicator().state_hash();
    };
    CHECK(run(10'000.0) == run(10'000.0));
    CHECK(run(10'000.0) != run(10'020.0));
}
