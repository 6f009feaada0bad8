#include "firmware/weighing/weigher.h"

#include <catch2/catch.hpp>

#include "tests/weighing/frames.h"

using namespace cornerbench;
using weighing::KeyAnswer;
using weighing::NoWeight;
using weighing::Readout;
using weighing::Weigher;
using weighing::WeigherSettings;
using weighing_test::bridge_calibration;
using weighing_test::bridge_settings;
using weighing_test::FrameMaker;
using weighing_test::seal;

namespace {

constexpr double noise_codes = 13.0;

/// A calibrated weigher with a converter in front of it.
struct Bench {
    explicit Bench(const WeigherSettings& settings = bridge_settings())
        : weigher(settings), maker(settings.converter) {
        weigher.calibrate(bridge_calibration(), {});
    }

    /// `seconds` under `load_kg`.
    void weigh(double load_kg, double seconds) {
        const double ratio = 0.2e-3 + load_kg / 60000.0 * 1.0e-3;
        for (int i = 0; i < static_cast<int>(100 * seconds); ++i) take(maker.next(ratio, noise_codes));
    }

    void take(const hal::Frame& frame) {
        weigher.take(frame);
        weigher.look(maker.now_us(), NoWeight::none);
    }

    const Readout& readout() const { return weigher.readout(); }

    Weigher weigher;
    FrameMaker maker;
};

}  // namespace

TEST_CASE("a load is weighed to the division once it stands", "[weighing]") {
    Bench bench;
    CHECK(bench.readout().why == NoWeight::starting);
    bench.weigh(0.0, 3.0);
    REQUIRE(bench.readout().has_weight());
    CHECK(bench.readout().gross.digits == 0);
    CHECK(bench.readout().at_zero);
    CHECK(bench.readout().stable);
    bench.weigh(24'375.0, 3.0);
    REQUIRE(bench.readout().has_weight());
    CHECK(bench.readout().gross.digits == 24'380);  // the nearest of 20 kg
    CHECK(bench.readout().gross_kg == Approx(24'375.0).margin(1.0));
    CHECK(bench.readout().stable);
    CHECK_FALSE(bench.readout().at_zero);
}

TEST_CASE("a step shows as fast as the filter lets it, and motion is told on the way", "[weighing]") {
    Bench bench;
    bench.weigh(0.0, 3.0);
    const auto settling = bench.weigher.plan().settling_outputs();
    bench.weigh(30'000.0, 0.1 * settling + 0.1);
    REQUIRE(bench.readout().has_weight());
    CHECK(bench.readout().gross_kg == Approx(30'000.0).margin(10.0));
    CHECK_FALSE(bench.readout().stable);
    bench.weigh(30'000.0, 1.5);
    CHECK(bench.readout().stable);
}

TEST_CASE("one bad sample of any kind takes the weight away until nothing of it is left", "[weighing]") {
    const std::uint8_t faults[] = {hal::sample_over_range, hal::sample_reference_missing,
                                   hal::sample_bus_error, hal::sample_not_new};
    for (const std::uint8_t fault : faults) {
        Bench bench;
        bench.weigh(0.0, 2.0);
        bench.weigh(20'000.0, 2.0);
        REQUIRE(bench.readout().has_weight());
        hal::Frame frame = bench.maker.next(0.9e-3);
        frame.fault[0] = fault;
        frame.code[0] = 0;
        seal(frame, 1);
        bench.take(frame);
        CHECK_FALSE(bench.readout().has_weight());
        // No weight before the filter holds good samples alone, and a right one as soon as there is one.
        int without = 0;
        while (!bench.readout().has_weight() && without < 100) {
            bench.weigh(20'000.0, 0.01);
            ++without;
        }
        CHECK(without >= bench.weigher.plan().length() - 1);
        CHECK(without < bench.weigher.plan().length() + bench.weigher.plan().factor());
        CHECK(bench.readout().gross.digits == 20'000);
    }
}

TEST_CASE("lost, late and damaged frames take the weight away as well", "[weighing]") {
    Bench lost;
    lost.weigh(0.0, 2.0);
    lost.maker.lose(1);
    lost.weigh(0.0, 0.01);
    CHECK(lost.readout().why == NoWeight::samples_missing);
    lost.weigh(0.0, 0.1);
    CHECK(lost.readout().why == NoWeight::settling);
    lost.weigh(0.0, 0.3);
    CHECK(lost.readout().has_weight());

    Bench damaged;
    damaged.weigh(0.0, 2.0);
    hal::Frame frame = damaged.maker.next(0.2e-3);
    frame.code[0] ^= 1 << 20;
    damaged.take(frame);
    CHECK(damaged.readout().why == NoWeight::sum_disagrees);

    Bench silent;
    silent.weigh(0.0, 2.0);
    const std::int64_t last_us = silent.maker.now_us();
    silent.weigher.look(last_us + 200'000);
    CHECK(silent.readout().has_weight());
    silent.weigher.look(last_us + 400'000);
    CHECK(silent.readout().why == NoWeight::samples_stale);
}

TEST_CASE("what the board says stands over what the samples say", "[weighing]") {
    Bench bench;
    bench.weigh(0.0, 2.0);
    bench.weigher.look(bench.maker.now_us(), NoWeight::supply_low);
    CHECK(bench.readout().why == NoWeight::supply_low);
    bench.weigher.take(bench.maker.next(0.2e-3, noise_codes));
    CHECK(bench.readout().why == NoWeight::supply_low);
    bench.weigh(0.0, 0.5);
    CHECK(bench.readout().has_weight());
}

TEST_CASE("without a calibration there is no weight, and with wrong settings there never is", "[weighing]") {
    Weigher weigher(bridge_settings());
    FrameMaker maker(bridge_settings().converter);
    for (int i = 0; i < 300; ++i) weigher.take(maker.next(0.5e-3, noise_codes));
    CHECK(weigher.readout().why == NoWeight::not_calibrated);
    double ratio = 0.0;
    REQUIRE(weigher.stable_ratio(ratio));
    CHECK(ratio == Approx(0.5e-3).margin(1.0e-8));
    CHECK(weigher.zero_key() == KeyAnswer::no_weight);
    CHECK(weigher.tare_key() == KeyAnswer::no_weight);
    weigher.explain_missing_calibration(NoWeight::settings_lost);
    for (int i = 0; i < 20; ++i) weigher.take(maker.next(0.5e-3, noise_codes));
    CHECK(weigher.readout().why == NoWeight::settings_lost);

    WeigherSettings wrong = bridge_settings();
    wrong.ranges.ranges[0].division_kg = 30.0;  // not 1, 2 or 5
    Weigher refuses(wrong);
    refuses.calibrate(bridge_calibration(), {});
    for (int i = 0; i < 300; ++i) refuses.take(maker.next(0.2e-3, noise_codes));
    CHECK_FALSE(refuses.usable());
    CHECK(refuses.readout().why == NoWeight::settings_wrong);
}

TEST_CASE("a load at power-on is no zero when it is too large for one", "[weighing]") {
    // OIML R 76-1:2006, 4.5.1: the initial zero within 20 % of Max, here 10 % to either side.
    Bench light;
    light.weigh(5'900.0, 3.0);
    REQUIRE(light.readout().has_weight());
    CHECK(light.readout().gross.digits == 0);
    Bench heavy;
    heavy.weigh(6'100.0, 3.0);
    CHECK(heavy.readout().why == NoWeight::no_initial_zero);
    heavy.weigh(0.0, 3.0);
    CHECK(heavy.readout().gross.digits == 0);
    // With a zero that was kept, the truck that stood there is weighed.
    Bench kept;
    REQUIRE(kept.weigher.keep_zero(40.0));
    kept.weigh(5'940.0, 3.0);
    REQUIRE(kept.readout().has_weight());
    CHECK(kept.readout().gross.digits == 5'900);
}

TEST_CASE("nothing is shown beyond the range", "[weighing]") {
    // OIML R 76-1:2006, 4.2.3: nothing above Max + 9 e.
    Bench bench;
    bench.weigh(0.0, 2.0);
    bench.weigh(60'170.0, 2.0);
    CHECK(bench.readout().has_weight());
    bench.weigh(60'210.0, 2.0);
    CHECK(bench.readout().why == NoWeight::over_range);
    bench.weigh(-380.0, 2.0);
    CHECK(bench.readout().has_weight());
    bench.weigh(-430.0, 2.0);
    CHECK(bench.readout().why == NoWeight::under_range);
    CHECK(bench.weigher.zero_key() == KeyAnswer::done);
    CHECK(bench.readout().gross.digits == 0);
}

TEST_CASE("no load hides a zero that was seen far off", "[weighing]") {
    // A cell that gives too little takes its share of the dead load away: the empty deck reads far below
    // zero, and the next truck lighter by as much.
    Bench bench;
    bench.weigh(0.0, 2.0);
    bench.weigh(-900.0, 2.0);
    CHECK(bench.readout().why == NoWeight::under_range);
    bench.weigh(24'700.0, 3.0);
    CHECK(bench.readout().why == NoWeight::zero_lost);
    CHECK(bench.weigher.tare_key() == KeyAnswer::no_weight);
    CHECK(bench.weigher.zero_key() == KeyAnswer::out_of_range);
    bench.weigh(-10.0, 3.0);
    CHECK(bench.readout().why == NoWeight::zero_lost);
    bench.weigh(-900.0, 3.0);
    CHECK(bench.readout().why == NoWeight::under_range);
    CHECK(bench.weigher.zero_key() == KeyAnswer::done);
    CHECK(bench.readout().gross.digits == 0);
    bench.weigh(24'700.0, 3.0);
    CHECK(bench.readout().gross.digits == 25'600);
    // Passing below the range without coming to rest, as a deck does that a truck leaves fast, loses nothing.
    bench.weigh(-900.0, 2.0);
    for (int i = 0; i < 30; ++i) bench.weigh(i % 2 == 0 ? -2'500.0 : -1'300.0, 0.1);
    bench.weigh(-900.0, 3.0);
    CHECK(bench.readout().gross.digits == 0);
}

TEST_CASE("tare makes net, zero clears it, and neither is taken in motion", "[weighing]") {
    Bench bench;
    bench.weigh(0.0, 2.0);
    bench.weigh(12'000.0, 0.4);
    CHECK(bench.weigher.tare_key() == KeyAnswer::not_stable);
    CHECK(bench.weigher.zero_key() == KeyAnswer::not_stable);
    bench.weigh(12'000.0, 2.0);
    REQUIRE(bench.weigher.tare_key() == KeyAnswer::done);
    CHECK(bench.readout().net.digits == 0);
    CHECK(bench.readout().gross.digits == 12'000);
    bench.weigh(31'000.0, 3.0);
    CHECK(bench.readout().net.digits == 19'000);
    CHECK(bench.weigher.zero_key() == KeyAnswer::out_of_range);
    CHECK(bench.readout().tare.digits == 12'000);
    bench.weigh(200.0, 3.0);
    CHECK(bench.weigher.zero_key() == KeyAnswer::done);
    CHECK(bench.readout().tare_kind == weighing::TareKind::none);
    CHECK(bench.weigher.preset_tare(1'013.0) == KeyAnswer::done);
    CHECK(bench.readout().net.digits == -1'020);
    CHECK(bench.readout().tare_kind == weighing::TareKind::preset);
}

TEST_CASE("units are changed with a division that promises no more", "[weighing]") {
    Bench bench;
    bench.weigh(0.0, 2.0);
    bench.weigh(10'000.0, 2.0);
    CHECK(bench.weigher.show_in(scale::MassUnit::tonne) == KeyAnswer::done);
    CHECK(bench.readout().gross.digits == 1000);
    CHECK(bench.readout().gross.decimals == 2);
    CHECK(bench.weigher.show_in(scale::MassUnit::pound) == KeyAnswer::done);
    // 10 000 kg are 22 046.23 lb (1 lb = 0.45359237 kg); 20 kg are 44 lb, so the division is 50 lb.
    CHECK(bench.readout().gross.digits == 22'050);
}

TEST_CASE("a box with a channel per cell adds them with their gains", "[weighing]") {
    Bench bench(bridge_settings(8));
    std::array<double, 8> gains{};
    gains.fill(1.0);
    gains[3] = 1.08;  // 1 % of everything, since one of eight is 8 % larger
    bench.weigher.calibrate(bridge_calibration(), gains);
    REQUIRE(bench.weigher.keep_zero(0.0));
    bench.weigh(24'000.0, 3.0);
    const double ratio = 0.2e-3 + 0.4e-3;
    CHECK(bench.readout().gross_kg == Approx((1.01 * ratio - 0.2e-3) * 6.0e7).margin(2.0));
    double channel = 0.0;
    REQUIRE(bench.weigher.channel_ratio(3, channel));
    CHECK(channel == Approx(ratio / 8).margin(1.0e-8));
    CHECK_FALSE(bench.weigher.channel_ratio(8, channel));
}

TEST_CASE("a lost cell ends weighing, unless the rules let a degraded weight be shown", "[weighing]") {
    for (const bool allowed : {false, true}) {
        WeigherSettings settings = bridge_settings(8);
        settings.weigh_degraded = allowed;
        Bench bench(settings);
        bench.weigh(0.0, 3.0);
        bench.weigh(16'000.0, 2.0);
        REQUIRE(bench.readout().has_weight());
        REQUIRE_FALSE(bench.readout().degraded);
        for (int i = 0; i < 300; ++i) {
            hal::Frame frame = bench.maker.next(0.2e-3 + 16'000.0 / 6.0e7, noise_codes);
            frame.fault[2] = hal::sample_bus_error;
            seal(frame, 8);
            bench.take(frame);
        }
        if (!allowed) {
            CHECK(bench.readout().why == NoWeight::converter_error);
            CHECK(bench.readout().channel == 2);
            continue;
        }
        REQUIRE(bench.readout().has_weight());
        CHECK(bench.readout().degraded);
        CHECK(bench.readout().gross_kg == Approx(16'000.0).margin(5.0));  // its mate feels the same here
        CHECK(bench.weigher.zero_key() == KeyAnswer::no_weight);
        bench.weigh(16'000.0, 2.0);
        CHECK_FALSE(bench.readout().degraded);
        CHECK(bench.readout().gross.digits == 16'000);
    }
}

TEST_CASE("two cells lost are too many", "[weighing]") {
    WeigherSettings settings = bridge_settings(8);
    settings.weigh_degraded = true;
    Bench bench(settings);
    bench.weigh(0.0, 3.0);
    for (int i = 0; i < 300; ++i) {
        hal::Frame frame = bench.maker.next(0.2e-3, noise_codes);
        frame.fault[2] = frame.fault[5] = hal::sample_bus_error;
        seal(frame, 8);
        bench.take(frame);
        if (i > 30) REQUIRE_FALSE(bench.readout().has_weight());
    }
}

TEST_CASE("a weight that is shown as valid had nothing but good samples behind it", "[weighing]") {
    // Frames of a standing load with faults of every kind strewn in; the wrong codes of the bad ones would
    // move the weight by many divisions.
    tests::Draw draw(42);
    Bench bench;
    bench.weigh(0.0, 3.0);
    bench.weigh(18'000.0, 3.0);
    int shown = 0;
    int faults = 0;
    for (int i = 0; i < 60'000; ++i) {
        hal::Frame frame = bench.maker.next(0.5e-3, noise_codes);
        const int kind = draw.integer(0, 299);
        if (kind < 5) {
            ++faults;
            frame.code[0] = draw.integer(-8'000'000, 7'999'999);
            if (kind < 4) frame.fault[0] = static_cast<std::uint8_t>(1u << kind);
            if (kind < 4) seal(frame, 1);
        } else if (kind == 5) {
            ++faults;
            bench.maker.lose(draw.integer(1, 40));
            continue;
        }
        bench.take(frame);
        if (!bench.readout().has_weight()) continue;
        ++shown;
        REQUIRE(std::fabs(bench.readout().gross_kg - 18'000.0) < 10.0);
    }
    CHECK(shown > 10'000);
    CHECK(faults > 500);
}
