#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "firmware/circuit/lifted_cell.h"
#include "firmware/diagnosis/trim_solver.h"
#include "tests/diagnosis/trim_bench.h"
#include "tests/random_scale.h"

// Two hundred scales each: 4 to 16 cells, kg, t and lb, decks from without twist stiffness to rigid, all trim
// kinds and digital gains, every number drawn from a seed. What proves the plan is the simulated scale after
// it, which knows nothing of the plan.

using namespace cornerbench;
using namespace cornerbench::diagnosis;
using tests::Adjusting;
using tests::Draw;
using tests::HiddenScale;

namespace {

constexpr int scales = 200;
constexpr double required_d = 0.3;

/// How the hidden scale differs from its description.
enum class Hidden { outputs, outputs_and_resistances, everything };

struct Yard {
    scale::Description description;
    scale::Condition truth;
    Adjusting adjusting = Adjusting::digital;
    double mass_kg = 0.0;
    double span_factor = 1.0;

    double division() const { return description.division_kg; }
    int count() const { return description.cell_count(); }
    HiddenScale scale() const { return {description, truth, span_factor}; }
};

Yard random_yard(int seed, Hidden hidden, double trims_from, double trims_to) {
    Draw draw(static_cast<std::uint64_t>(seed));
    Yard yard;
    yard.adjusting = static_cast<Adjusting>(seed % tests::adjusting_count);
    yard.description = tests::random_description(draw, yard.adjusting);
    tests::turn_trims_at_random(draw, trims_from, trims_to, yard.description);
    yard.truth = tests::random_sample(draw, yard.description);
    const scale::Condition sound = scale::sound_condition(yard.description);
    if (hidden != Hidden::everything) {
        yard.truth.deck = sound.deck;
        yard.truth.supports = sound.supports;
    }
    for (unsigned i = 0; hidden == Hidden::outputs && i < scale::max_cells; ++i) {
        yard.truth.cells[i].input_ohm = sound.cells[i].input_ohm;
        yard.truth.cells[i].output_ohm = sound.cells[i].output_ohm;
    }
    yard.mass_kg = tests::corner_test_mass_kg(yard.description);
    yard.span_factor = draw.uniform(0.95, 1.05);
    return yard;
}

TrimSolution solve(const Yard& yard, const HiddenScale& scale, const std::vector<Reading>& readings,
                   bool zero_before_each = true, bool every_trim = true) {
    // Where the trims stand now, the technician sees on them.
    scale::Description d = yard.description;
    PerCell digital = no_gains();
    for (int i = 0; i < yard.count(); ++i) {
        const auto at = static_cast<unsigned>(i);
        (yard.adjusting == Adjusting::digital ? digital[at] : d.cells[at].trim_at) = scale.trim(i);
    }
    Sheet sheet;
    sheet.readings = readings;
    CornerModel model(d, digital);
    return solve_trim({.description = d,
                       .sheet = sheet,
                       .zero_before_each = zero_before_each,
                       .even_if_within_uncertainty = every_trim},
                      model);
}

void set_all(HiddenScale& scale, const TrimSolution& s) {
    for (int i = 0; i < s.corner_count; ++i) scale.set_trim(i, s.corners[static_cast<unsigned>(i)].fitted_at);
}

/// Signals of every cell, lifted, deck empty, as the bench meter reads them at the box end of the cable.
void add_empty_signals(const Yard& yard, const HiddenScale& scale, std::vector<Reading>& readings) {
    const weighing::StillScale still(yard.description, scale.truth());
    for (int i = 0; i < yard.count(); ++i) {
        const auto at = static_cast<unsigned>(i);
        const circuit::LiftedCell lifted(scale.truth().cells[at]);
        Reading r;
        r.quantity = Quantity::signal;
        r.cell = i;
        r.value = lifted.signal_ratio(still.ratios()[at]);
        r.is_ratio = true;
        readings.push_back(r);
    }
}

struct Tally {
    int over = 0;
    double worst = 0.0;
    void add(double value_d) {
        if (!(value_d <= required_d)) ++over;
        worst = std::max(worst, value_d);
    }
};

bool is_fixed(Adjusting adjusting) {
    return adjusting == Adjusting::excitation_fixed || adjusting == Adjusting::shunt_fixed;
}

}  // namespace

TEST_CASE("Computed settings bring the corners of 200 scales together", "[trim][random]") {
    Tally as_fitted;
    Tally adjustable;
    for (int seed = 1; seed <= scales; ++seed) {
        CAPTURE(seed);
        const Yard yard = random_yard(seed, Hidden::outputs, 0.0, 1.0);
        HiddenScale scale = yard.scale();
        scale.set_zero();
        const TrimSolution s = solve(yard, scale, scale.corner_readings(yard.mass_kg));
        REQUIRE(s.verdict == TrimVerdict::solved);
        CHECK(s.spread_before_kg ==
              Approx(scale.spread_kg(yard.mass_kg)).epsilon(0.02).margin(0.1 * yard.division()));
        set_all(scale, s);
        const double spread_d = scale.spread_kg(yard.mass_kg) / yard.division();
        as_fitted.add(spread_d);
        if (!is_fixed(yard.adjusting)) adjustable.add(spread_d);
        CHECK(spread_d == Approx(s.spread_after_kg / yard.division()).margin(0.1));
        double mean_kg = 0.0;
        for (int i = 0; i < yard.count(); ++i) {
            mean_kg += scale.shows(scale.over(i, yard.mass_kg)) / yard.count();
        }
        CHECK(mean_kg * s.span_factor == Approx(yard.mass_kg).epsilon(2.0e-5));

        // As much signal as possible: one trim takes none, and none lies beyond its ends.
        int at_stop = 0;
        double mean_gain = 0.0;
        for (int i = 0; i < s.corner_count; ++i) {
            const CornerTrim& c = s.corners[static_cast<unsigned>(i)];
            mean_gain += c.at / s.corner_count;
            if (yard.adjusting == Adjusting::digital) continue;
            const double last = scale::trim_last_position(yard.description.trim);
            const double lossless = yard.description.trim.kind == scale::TrimKind::signal_shunt ? last : 0.0;
            CHECK(c.at >= 0.0);
            CHECK(c.at <= last);
            if (std::fabs(c.at - lossless) < 1.0e-9 * last) ++at_stop;
            CHECK(c.at_stop == (std::fabs(c.at - lossless) < 1.0e-9 * last));
        }
        if (yard.adjusting == Adjusting::digital) {
            CHECK(mean_gain == Approx(1.0).epsilon(1.0e-12));
        } else {
            CHECK(at_stop == 1);
            CHECK(s.signal_change > 1.0 - 1.0e-2);
        }
    }
    CAPTURE(as_fitted.worst, adjustable.worst);
    CHECK(as_fitted.over == 0);
    CHECK(adjustable.worst < 0.05);
}

TEST_CASE("Trims that the readings do not ask to turn stay on 200 scales", "[trim][random][long]") {
    // Corners that agree already are left within what readings of their uncertainty feign between equal ones;
    // all others come to them as near as when every trim is set.
    int solved = 0;
    int with_staying = 0;
    for (int seed = 1; seed <= scales; ++seed) {
        CAPTURE(seed);
        const Yard yard = random_yard(seed, Hidden::outputs, 0.3, 0.7);
        if (yard.adjusting == Adjusting::digital) continue;
        HiddenScale scale = yard.scale();
        scale.set_zero();
        const std::vector<Reading> readings = scale.corner_readings(yard.mass_kg);
        const TrimSolution every = solve(yard, scale, readings);
        const TrimSolution few = solve(yard, scale, readings, true, false);
        if (few.verdict == TrimVerdict::leave_it) continue;
        REQUIRE(few.verdict == TrimVerdict::solved);
        ++solved;
        int staying = 0;
        int changes = 0;
        int changes_of_every = 0;
        for (unsigned i = 0; i < static_cast<unsigned>(few.corner_count); ++i) {
            const CornerTrim& c = few.corners[i];
            const double unnoticed = is_fixed(yard.adjusting) ? 0.0 : 0.05;
            staying += c.stays ? 1 : 0;
            if (c.stays) CHECK(c.fitted_at == c.present_at);
            changes += std::fabs(c.fitted_at - c.present_at) > unnoticed ? 1 : 0;
            const CornerTrim& e = every.corners[i];
            changes_of_every += std::fabs(e.fitted_at - e.present_at) > unnoticed ? 1 : 0;
            CHECK(c.at >= 0.0);
            CHECK(c.at <= scale::trim_last_position(yard.description.trim));
        }
        if (staying > 0) {
            ++with_staying;
            CHECK(changes < changes_of_every);
        }
        set_all(scale, few);
        const double spread_kg = scale.spread_kg(yard.mass_kg);
        CHECK(spread_kg == Approx(few.spread_after_kg).margin(0.1 * yard.division()));
        CHECK(spread_kg < few.readings_alone.expected_kg + required_d * yard.division());
    }
    CHECK(solved > scales / 3);
    CHECK(with_staying > solved / 3);
}

TEST_CASE("The display is as foretold at every step on 200 scales", "[trim][random][long]") {
    Tally with_signals;
    double worst_score = 0.0;
    double worst_check_d = 0.0;
    for (int seed = 1; seed <= scales; ++seed) {
        CAPTURE(seed);
        const Yard yard = random_yard(seed, Hidden::outputs, 0.0, 1.0);
        const bool zero_before_each = seed % 3 != 0;
        HiddenScale scale = yard.scale();
        scale.set_zero();
        std::vector<Reading> readings = scale.corner_readings(yard.mass_kg);
        const TrimSolution blind = solve(yard, scale, readings, zero_before_each);
        add_empty_signals(yard, scale, readings);
        const TrimSolution s = solve(yard, scale, readings, zero_before_each);
        REQUIRE(s.verdict == TrimVerdict::solved);
        REQUIRE(blind.verdict == TrimVerdict::solved);
        REQUIRE(s.step_count == yard.count());
        std::vector<bool> visited(static_cast<std::size_t>(yard.count()), false);
        for (int k = 0; k < s.step_count; ++k) {
            const TrimStep& step = s.steps[static_cast<unsigned>(k)];
            const TrimStep& without = blind.steps[static_cast<unsigned>(k)];
            visited[static_cast<std::size_t>(step.corner)] = true;
            const Load load = scale.over(step.corner, yard.mass_kg);
            const auto off_d = [&](double shown, const Display& foretold) {
                return std::fabs(shown - foretold.kg) / yard.division();
            };
            if (zero_before_each) scale.set_zero();
            with_signals.add(off_d(scale.shows(load), step.before));
            scale.set_trim(step.corner, step.to_at);
            const double loaded = scale.shows(load);
            const double emptied = scale.shows_empty();
            with_signals.add(off_d(loaded, step.target));
            with_signals.add(off_d(emptied, step.emptied));
            worst_check_d = std::max(worst_check_d, off_d(loaded - emptied, step.check));
            CHECK(std::fabs(step.target.rounded_kg - step.target.kg) <= 0.5001 * yard.division());
            // Without the cells' empty signals target and emptied are as uncertain as they say, and their
            // difference, what the corner weighs, is right all the same.
            if (zero_before_each) {
                REQUIRE(without.corner == step.corner);
                worst_score = std::max(worst_score, (off_d(loaded, without.target) - 0.05) * yard.division() /
                                                        (without.target_sd_kg + 1.0e-9));
                worst_check_d = std::max(worst_check_d, off_d(loaded - emptied, without.check));
            }
        }
        CHECK(std::all_of(visited.begin(), visited.end(), [](bool there) { return there; }));
    }
    CAPTURE(with_signals.worst, worst_score, worst_check_d);
    CHECK(with_signals.worst < 0.1);
    CHECK(worst_check_d < 0.1);
    CHECK(worst_score < 3.0);
}

TEST_CASE("Turning until the display is right trims 200 scales of unknown resistances",
          "[trim][random][campaign]") {
    Tally by_display;
    Tally by_position;
    Tally second_round;
    for (int seed = 1; seed <= scales; ++seed) {
        CAPTURE(seed);
        const Yard yard = random_yard(seed, Hidden::outputs_and_resistances, 0.0, 1.0);
        HiddenScale scale = yard.scale();
        scale.set_zero();
        const TrimSolution s = solve(yard, scale, scale.corner_readings(yard.mass_kg));
        REQUIRE(s.verdict == TrimVerdict::solved);

        HiddenScale turned = scale;
        for (int k = 0; k < s.step_count; ++k) {
            const TrimStep& step = s.steps[static_cast<unsigned>(k)];
            const Load load = turned.over(step.corner, yard.mass_kg);
            turned.set_zero();
            turned.turn_until(step.corner, load, step.target.kg, step.to_at);
            turned.turn_until_net(step.corner, load, step.check.kg);
        }
        by_display.add(turned.spread_kg(yard.mass_kg) / yard.division());

        set_all(scale, s);
        by_position.add(scale.spread_kg(yard.mass_kg) / yard.division());
        const TrimSolution again = solve(yard, scale, scale.corner_readings(yard.mass_kg));
        REQUIRE(again.verdict == TrimVerdict::solved);
        set_all(scale, again);
        // What E96 leaves to a fixed resistor, no round takes away.
        if (!is_fixed(yard.adjusting)) second_round.add(scale.spread_kg(yard.mass_kg) / yard.division());
    }
    CAPTURE(by_display.worst, by_display.over, by_position.worst, by_position.over, second_round.worst);
    CHECK(by_display.over == 0);
    CHECK(by_position.over <= scales / 10);
    CHECK(by_position.worst < 0.7);
    CHECK(second_round.worst < 0.1);
}

TEST_CASE("The spread that remains after trimming is as large as foretold", "[trim][random][campaign]") {
    // Nothing is as described, trims stand where an earlier trimming may have left them, readings scatter by
    // a quarter of a division and are rounded to a tenth, and potentiometers are set to within 0.05 turn.
    double foretold_d = 0.0;
    double found_d = 0.0;
    int beyond_95 = 0;
    for (int seed = 1; seed <= scales; ++seed) {
        CAPTURE(seed);
        const Yard yard = random_yard(seed, Hidden::everything, 0.0, 0.2);
        Draw draw(static_cast<std::uint64_t>(seed) + 1000);
        HiddenScale scale = yard.scale();
        scale.set_zero();
        std::vector<Reading> readings = scale.corner_readings(yard.mass_kg);
        const double tenth = 0.1 * yard.division();
        for (Reading& r : readings) {
            r.value = tenth * std::round((r.value + 0.25 * yard.division() * draw.normal()) / tenth);
        }
        const TrimSolution s = solve(yard, scale, readings);
        REQUIRE(s.verdict == TrimVerdict::solved);
        set_all(scale, s);
        for (int i = 0; i < yard.count(); ++i) {
            double at = scale.trim(i);
            if (is_fixed(yard.adjusting)) {
                at *= 1.0 + 0.01 * draw.around_zero();
            } else if (yard.adjusting != Adjusting::digital) {
                at = std::clamp(at + 0.05 * draw.around_zero(), 0.0, yard.description.trim.turns);
            }
            scale.set_trim(i, at);
        }
        const double spread_kg = scale.spread_kg(yard.mass_kg);
        foretold_d += s.by_position.expected_kg / yard.division() / scales;
        found_d += spread_kg / yard.division() / scales;
        if (spread_kg > s.by_position.within_95_kg + s.spread_after_kg) ++beyond_95;
    }
    CAPTURE(foretold_d, found_d, beyond_95);
    // A little too large on purpose: 200 scales of which 10 should lie beyond, by chance up to 20.
    CHECK(found_d < 1.1 * foretold_d);
    CHECK(found_d > 0.75 * foretold_d);
    CHECK(beyond_95 <= 20);
}
