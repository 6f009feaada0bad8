#include "firmware/weighing/zero.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <type_traits>
#include <vector>

#include "firmware/weighing/division.h"
#include "firmware/weighing/rules.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using weighing::Zero;
using weighing::ZeroAnswer;
using weighing::ZeroSettings;

static_assert(std::is_trivially_copyable_v<Zero>);

namespace {

constexpr double max_kg = 60000.0;
constexpr double d = 20.0;
constexpr std::int64_t tenth_us = 100'000;

/// Zeroed at the calibration's zero.
Zero zeroed(const ZeroSettings& settings = {}) {
    Zero zero(settings, max_kg, d);
    REQUIRE(zero.find_initial(0.0, true) == ZeroAnswer::done);
    return zero;
}

/// Gives tracking ten values a second of a weight that depends on the time in s.
template <class Weight>
void run(Zero& zero, double from_s, double to_s, Weight&& weight) {
    for (int i = static_cast<int>(10 * from_s); i <= static_cast<int>(10 * to_s); ++i)
        zero.track(weight(0.1 * i), true, i * tenth_us);
}

}  // namespace

TEST_CASE("Initial zero reaches as far as a fifth of Max in all", "[weighing]") {
    // OIML R 76-1:2006, 4.5.1: initial zero-setting at most 20 % of Max, here 10 % either way: 6000 kg of 60
    // t.
    const auto answer = [](double weight_kg) { return Zero({}, max_kg, d).find_initial(weight_kg, true); };
    CHECK(answer(6000.0) == ZeroAnswer::done);
    CHECK(answer(-6000.0) == ZeroAnswer::done);
    CHECK(answer(6000.1) == ZeroAnswer::out_of_range);
    CHECK(answer(-6000.1) == ZeroAnswer::out_of_range);
    CHECK(answer(std::nan("")) == ZeroAnswer::out_of_range);

    Zero zero({}, max_kg, d);
    CHECK(zero.find_initial(100.0, false) == ZeroAnswer::not_stable);
    CHECK_FALSE(zero.established());
    CHECK(zero.set(100.0, true) == ZeroAnswer::no_initial_zero);
    CHECK(zero.find_initial(100.0, true) == ZeroAnswer::done);
    CHECK(zero.established());
    CHECK(zero.gross_kg(100.0) == 0.0);
    CHECK(zero.gross_kg(40100.0) == 40000.0);
}

TEST_CASE("The zero key reaches as far as a twenty-fifth of Max in all, about the initial zero",
          "[weighing]") {
    // OIML R 76-1:2006, 4.5.1: zero-setting and tracking together at most 4 % of Max, here 2 % either way:
    // 1200 kg.
    Zero zero({}, max_kg, d);
    REQUIRE(zero.find_initial(5000.0, true) == ZeroAnswer::done);
    CHECK(zero.set(6200.1, true) == ZeroAnswer::out_of_range);
    CHECK(zero.set(3799.9, true) == ZeroAnswer::out_of_range);
    CHECK(zero.set(6200.0, false) == ZeroAnswer::not_stable);
    CHECK(zero.offset_kg() == 5000.0);
    CHECK(zero.set(6200.0, true) == ZeroAnswer::done);
    CHECK(zero.gross_kg(6200.0) == 0.0);
    // A second press does not start a new range.
    CHECK(zero.set(6300.0, true) == ZeroAnswer::out_of_range);
    CHECK(zero.set(3800.0, true) == ZeroAnswer::done);
    CHECK(zero.initial_offset_kg() == 5000.0);
}

TEST_CASE("The zero light is on within a quarter of a division", "[weighing]") {
    // OIML R 76-1:2006, 4.5.2 and 4.5.5: 0.25 e.
    const Zero zero = zeroed();
    CHECK(zero.at_centre(5.0));
    CHECK(zero.at_centre(-5.0));
    CHECK_FALSE(zero.at_centre(5.01));
    CHECK_FALSE(zero.at_centre(-5.01));
    CHECK_FALSE(Zero({}, max_kg, d).at_centre(0.0));
}

TEST_CASE("Tracking follows a drift of half a division a second and no faster", "[weighing]") {
    // OIML R 76-1:2006, 4.5.7: corrections at most 0.5 d/s. Of 0.6 d/s, looked at ten times a second, 0.01 d
    // more is left each time: the i-th look finds 0.06 d + 0.01 d (i - 1), and the 45th half a division,
    // where zero is shown no more. 44 corrections of 0.05 d have been made by then.
    Zero slow = zeroed();
    run(slow, 0.0, 30.0, [](double t) { return 0.49 * d * t; });
    CHECK(std::fabs(slow.gross_kg(0.49 * d * 30.0)) <= 0.05 * d);

    const auto drift = [](double t) { return 0.6001 * d * t; };
    Zero fast = zeroed();
    run(fast, 0.0, 4.4, drift);
    CHECK(weighing::whole_divisions(fast.gross_kg(drift(4.4)), d) == 0);
    run(fast, 4.5, 60.0, drift);
    CHECK(fast.offset_kg() == Approx(44 * 0.05 * d).epsilon(1e-9));
}

TEST_CASE("Tracking touches nothing but zero at rest", "[weighing]") {
    // OIML R 76-1:2006, 4.5.7: only when the indication is zero, and in stable equilibrium.
    Zero zero = zeroed();
    run(zero, 0.0, 100.0, [](double) { return 0.5 * d; });  // shows one division
    CHECK(zero.offset_kg() == 0.0);
    run(zero, 100.1, 200.0, [](double) { return -0.5 * d; });
    CHECK(zero.offset_kg() == 0.0);
    for (int i = 2001; i < 3000; ++i) zero.track(0.3 * d, false, i * tenth_us);
    CHECK(zero.offset_kg() == 0.0);
    run(zero, 300.1, 301.5, [](double) { return 0.49 * d; });
    CHECK(zero.gross_kg(0.49 * d) == Approx(0.0).margin(1e-9));

    ZeroSettings off;
    off.tracking = false;
    Zero fixed = zeroed(off);
    run(fixed, 0.0, 100.0, [](double) { return 0.3 * d; });
    CHECK(fixed.offset_kg() == 0.0);

    Zero unborn({}, max_kg, d);
    run(unborn, 0.0, 10.0, [](double) { return 0.3 * d; });
    CHECK(unborn.offset_kg() == 0.0);
}

TEST_CASE("Tracking and key together stay within four per cent of Max", "[weighing]") {
    // OIML R 76-1:2006, 4.5.1. 0.4 d/s of drift pass 1200 kg after 150 s.
    for (const double sign : {1.0, -1.0}) {
        Zero zero = zeroed();
        run(zero, 0.0, 400.0, [sign](double t) { return sign * 0.4 * d * t; });
        CHECK(std::fabs(zero.offset_kg()) <= 1200.0);
        CHECK(std::fabs(zero.offset_kg()) >= 1199.0);
        CHECK(std::fabs(zero.gross_kg(sign * 0.4 * d * 400.0)) > d);
    }
}

TEST_CASE("Where the standard limits what is followed at once, it is followed at once and no farther",
          "[weighing]") {
    // NIST Handbook 44, 2.20, S.2.1.3 (from memory): 3 d for class III L, 0.5 d for others from 2007 on.
    for (const bool follows_3_d : {true, false}) {
        const auto rules = weighing::handbook_44_rules(follows_3_d);
        const double window = (follows_3_d ? 3.0 : 0.5) * d;
        weighing::ZeroSettings settings = weighing::zero_settings(rules);
        settings.tracking_window_divisions = rules.tracking_divisions;
        settings.tracking_divisions_per_s = rules.tracking_divisions_per_s;
        Zero zero = zeroed(settings);
        zero.track(window + 0.01, true, 0);
        zero.track(window + 0.01, true, tenth_us);
        CHECK(zero.offset_kg() == 0.0);
        zero.track(window - 0.01, true, 2 * tenth_us);
        CHECK(zero.gross_kg(window - 0.01) == 0.0);
    }
}

TEST_CASE("An indicator made for a standard eats no load, though the standard would let it", "[weighing]") {
    // OIML R 76-1:2006, 4.5.7, 0.5 e and 0.5 e/s, under every rule: a load of a division stays, and of a step
    // of which the filter first shows 0.4 d no more than a tenth of a second's worth is lost.
    for (const weighing::Rules& rules : {weighing::oiml_r76_rules(), weighing::handbook_44_rules(true),
                                         weighing::handbook_44_rules(false)}) {
        Zero zero = zeroed(weighing::zero_settings(rules));
        zero.track(0.0, true, 0);
        zero.track(0.4 * d, true, tenth_us);
        CHECK(zero.offset_kg() <= 0.0500001 * d);
        for (int i = 2; i < 100; ++i) zero.track(d, true, i * tenth_us);
        CHECK(zero.offset_kg() <= 0.0500001 * d);
        CHECK(zero.gross_kg(d) >= 0.94 * d);
    }
}

TEST_CASE("A pause buys no jump", "[weighing]") {
    Zero zero = zeroed();
    zero.track(0.0, true, 0);
    zero.track(0.4 * d, true, 60'000'000);  // a minute later: a fifth of a second counts
    CHECK(zero.offset_kg() == Approx(0.1 * d));
    zero.track(0.4 * d, true, 1'000'000);  // a clock that goes back counts for nothing
    CHECK(zero.offset_kg() == Approx(0.1 * d));
    zero.interrupt();
    zero.track(0.4 * d, true, 1'100'000);
    CHECK(zero.offset_kg() == Approx(0.1 * d));
}

TEST_CASE("Over random days the zero keeps every rule at once", "[weighing]") {
    // The model holds no rule of motion, only what may never happen.
    tests::Draw draw(71);
    int followed = 0;
    int set = 0;
    for (int day = 0; day < 100; ++day) {
        Zero zero({}, max_kg, d);
        double drift = draw.uniform(-8000.0, 8000.0);
        double load = 0.0;
        std::int64_t now_us = draw.integer(0, 1000) * std::int64_t{1'000'000};
        std::int64_t unwatched_us = 0;
        for (int i = 0; i < 3000; ++i) {
            const std::int64_t step_us = draw.integer(1, 300) * std::int64_t{1000};
            now_us += step_us;
            unwatched_us += step_us;
            drift += draw.uniform(-1.0, 1.2) * d * 0.1;
            if (draw.chance(0.01)) load = draw.chance(0.6) ? 0.0 : draw.uniform(0.0, max_kg);
            const double weight = load + drift;
            const bool stable = draw.chance(0.9);
            const double before = zero.offset_kg();
            const bool was_established = zero.established();
            const double gross = zero.gross_kg(weight);
            if (draw.chance(0.02) || !was_established) {
                const bool initial = !was_established && draw.chance(0.8);
                const double from = initial ? 0.0 : zero.initial_offset_kg();
                const double reach = initial ? 0.10 * max_kg : 0.02 * max_kg;
                const bool may = stable && std::fabs(weight - from) <= reach && (initial || was_established);
                const auto answer = initial ? zero.find_initial(weight, stable) : zero.set(weight, stable);
                REQUIRE((answer == ZeroAnswer::done) == may);
                REQUIRE(zero.offset_kg() == (may ? weight : before));
                set += may ? 1 : 0;
                continue;
            }
            zero.track(weight, stable, now_us);
            const auto seconds = static_cast<double>(unwatched_us) * 1e-6;
            unwatched_us = 0;
            const double moved = zero.offset_kg() - before;
            if (moved == 0.0) continue;
            ++followed;
            REQUIRE(stable);
            REQUIRE(weighing::whole_divisions(gross, d) == 0);
            REQUIRE(std::fabs(moved) <= 0.5 * d * seconds + 1e-9);
            REQUIRE(std::fabs(zero.gross_kg(weight)) < std::fabs(gross));
            REQUIRE(std::fabs(zero.offset_kg() - zero.initial_offset_kg()) <= 0.02 * max_kg);
        }
    }
    CHECK(followed > 3000);
    CHECK(set > 200);
}
