#include "firmware/diagnosis/trim_solver.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "tests/diagnosis/trim_bench.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using namespace cornerbench::diagnosis;
using tests::HiddenScale;

namespace {

/// Four cells under a deck without twist stiffness, wired without losses: hand calculation is exact but for
/// terms of the order of the bridge's own small signal.
scale::Description plain_deck(scale::TrimKind kind) {
    scale::Description d;
    d.max_kg = 30000.0;
    d.division_kg = 10.0;
    d.deck.sections = 2;
    d.deck.section_x_m = {0.0, 6.0};
    d.deck.width_m = 2.5;
    d.deck.mass_kg = 8000.0;
    for (unsigned i = 0; i < 4; ++i) {
        d.cells[i].capacity_kg = 25000.0;
        d.cells[i].cable_m = 0.0;
        d.cells[i].insulation_ohm = 1.0e15;
    }
    d.contact_ohm = 0.0;
    d.home_run_m = 0.0;
    d.input_ohm = 1.0e15;
    d.trim.kind = kind;
    d.trim.turns = 25.0;
    d.trim.total_ohm = kind == scale::TrimKind::excitation_series ? 20.0 : 100.0e3;
    if (kind == scale::TrimKind::signal_shunt) {
        d.trim.fixed_ohm = 10.0e3;
        d.trim.mixing_ohm = 1000.0;
        for (unsigned i = 0; i < 4; ++i) d.cells[i].trim_at = 25.0;
    }
    return d;
}

/// The described scale, but for these gains of its cells.
HiddenScale with_gains(const scale::Description& d, const std::vector<double>& gains,
                       double span_factor = 1.0) {
    scale::Condition truth = scale::sound_condition(d);
    for (std::size_t i = 0; i < gains.size(); ++i) truth.cells[i].sensitivity_V_per_V *= gains[i];
    return HiddenScale(d, truth, span_factor);
}

TrimSolution solve(const scale::Description& d, const std::vector<Reading>& readings, bool even = true) {
    Sheet sheet;
    sheet.readings = readings;
    CornerModel model(d);
    return solve_trim({.description = d, .sheet = sheet, .even_if_within_uncertainty = even}, model);
}

const std::vector<double> some_gains = {1.002, 0.998, 1.004, 1.001};

}  // namespace

// By hand, for small signals, of cells on one bus with trims T_i in their E+ leads; supply +-1/2, Rin the
// input resistance. A trimmed cell's S+ and S- sit below the middle of the supply, and the bus pulls them
// together with all others to a common level m. With A_i = 1 / (Rin / 2 + T_i) and B = 1 / (Rin / 2) no
// current is left on the bus when sum((1/2 - m) A_i - (1/2 + m) B) = 0, and cell i moves the difference
// between S+ and S- in proportion to s_i ((1/2 - m) A_i + (1/2 + m) B); its weight on the bus is that of its
// output resistance, which no trim changes. (Alone, with m free, the cell would give the textbook's s Rin /
// (Rin + T).)
struct SeriesByHand {
    double input_ohm = 390.0;

    double common_level(const std::vector<double>& trim_ohm) const {
        const double b = 2.0 / input_ohm;
        double difference = 0.0;
        double sum = 0.0;
        for (const double t : trim_ohm) {
            const double a = 1.0 / (0.5 * input_ohm + t);
            difference += a - b;
            sum += a + b;
        }
        return 0.5 * difference / sum;
    }

    std::vector<double> shown(const std::vector<double>& gains, const std::vector<double>& trim_ohm) const {
        const double m = common_level(trim_ohm);
        std::vector<double> result;
        for (std::size_t i = 0; i < gains.size(); ++i) {
            result.push_back(gains[i] *
                             ((0.5 - m) / (0.5 * input_ohm + trim_ohm[i]) + (0.5 + m) * 2.0 / input_ohm));
        }
        return result;
    }

    /// Trims that bring all cells to the weakest, by fixed point.
    std::vector<double> trims(const std::vector<double>& gains) const {
        const double weakest = *std::min_element(gains.begin(), gains.end());
        const double b = 2.0 / input_ohm;
        std::vector<double> trim_ohm(gains.size(), 0.0);
        for (int i = 0; i < 200; ++i) {
            const double m = common_level(trim_ohm);
            for (std::size_t c = 0; c < gains.size(); ++c) {
                const double a = (weakest / gains[c] * b - (0.5 + m) * b) / (0.5 - m);
                trim_ohm[c] = 1.0 / a - 0.5 * input_ohm;
            }
        }
        return trim_ohm;
    }
};

TEST_CASE("A series trim takes the excess of its cell", "[trim]") {
    const scale::Description d = plain_deck(scale::TrimKind::excitation_series);
    const HiddenScale hidden = with_gains(d, some_gains, 1.03);
    const TrimSolution s = solve(d, hidden.corner_readings(10000.0));
    REQUIRE(s.verdict == TrimVerdict::solved);
    const std::vector<double> by_hand_ohm = SeriesByHand{}.trims(some_gains);
    for (unsigned i = 0; i < 4; ++i) {
        CAPTURE(i);
        CHECK(s.corners[i].ohm == Approx(by_hand_ohm[i]).epsilon(1.0e-4).margin(1.0e-6));
        CHECK(s.corners[i].at == Approx(by_hand_ohm[i] / 20.0 * 25.0).epsilon(1.0e-4).margin(1.0e-6));
        CHECK(s.corners[i].at_stop == (i == 1));
        CHECK(s.corners[i].relative_gain == Approx(some_gains[i] / 1.00125).epsilon(1.0e-6));
        // To first order every formula is Rin times the excess.
        CHECK(s.corners[i].ohm == Approx(390.0 * (some_gains[i] / 0.998 - 1.0)).epsilon(0.01).margin(1.0e-6));
    }
    // The bus keeps its weights, so the common weight is the weakest corner's own but for the common level.
    CHECK(s.shown_per_kg == Approx(s.corners[1].before_kg / 10000.0).epsilon(1.0e-4));
    CHECK(s.span_factor == Approx(1.0 / s.shown_per_kg).epsilon(1.0e-12));
    CHECK(s.signal_change == Approx(0.998 / 1.00125).epsilon(1.0e-4));
}

TEST_CASE("A shunt trim with mixing resistors takes the excess of its cell", "[trim]") {
    // By hand. A cell with output resistance R, a shunt P across its signal pair and a mixing resistor M in
    // each lead is a source s P / (R + P) behind R P / (R + P) + 2 M. Millman: it moves the common bus in
    // proportion to their quotient, s / (R + 2 M + 2 M R / P). Equal corners with the weakest cell w at its
    // largest P need 1 / P_i = q / P_w + (q - 1) (R + 2 M) / (2 M R), q = s_i / s_w.
    const scale::Description d = plain_deck(scale::TrimKind::signal_shunt);
    const TrimSolution s = solve(d, with_gains(d, some_gains).corner_readings(10000.0));
    REQUIRE(s.verdict == TrimVerdict::solved);
    for (unsigned i = 0; i < 4; ++i) {
        const double q = some_gains[i] / 0.998;
        const double siemens = q / 110.0e3 + (q - 1.0) * (350.0 + 2000.0) / (2000.0 * 350.0);
        CAPTURE(i);
        CHECK(s.corners[i].ohm == Approx(1.0 / siemens - 10.0e3).epsilon(1.0e-3));
        CHECK(s.corners[i].at_stop == (i == 1));
    }
    CHECK(s.corners[1].at == Approx(25.0));
}

TEST_CASE("Digital corner gains follow the cells' own and keep their mean", "[trim]") {
    scale::Description d = plain_deck(scale::TrimKind::none);
    d.converter = scale::Converter::per_cell;
    const TrimSolution s = solve(d, with_gains(d, some_gains).corner_readings(10000.0));
    REQUIRE(s.verdict == TrimVerdict::solved);
    double mean = 0.0;
    for (unsigned i = 0; i < 4; ++i) {
        mean += s.corners[i].at / 4.0;
        CHECK(s.corners[i].at * some_gains[i] == Approx(s.corners[0].at * some_gains[0]).epsilon(1.0e-6));
    }
    CHECK(mean == Approx(1.0).epsilon(1.0e-12));
}

TEST_CASE("Solving at equal corners changes nothing", "[trim]") {
    for (const auto kind : {scale::TrimKind::excitation_series, scale::TrimKind::signal_shunt}) {
        scale::Description d = plain_deck(kind);
        d.deck.twist_stiffness_N_m_per_rad = 5.0e6;
        HiddenScale hidden = with_gains(d, some_gains);
        const TrimSolution first = solve(d, hidden.corner_readings(10000.0));
        REQUIRE(first.verdict == TrimVerdict::solved);
        for (int i = 0; i < 4; ++i) {
            const double at = first.corners[static_cast<unsigned>(i)].at;
            hidden.set_trim(i, at);
            d.cells[static_cast<unsigned>(i)].trim_at = at;
        }
        hidden.set_zero();
        const std::vector<Reading> equal = hidden.corner_readings(10000.0);

        const TrimSolution asked = solve(d, equal, false);
        CHECK(asked.verdict == TrimVerdict::leave_it);
        CHECK(asked.step_count == 0);
        const TrimSolution insisted = solve(d, equal, true);
        REQUIRE(insisted.verdict == TrimVerdict::solved);
        for (unsigned i = 0; i < 4; ++i) {
            CHECK(asked.corners[i].at == d.cells[i].trim_at);
            // Turns; the prior draws the weakly seen twist pattern a little to nothing.
            CHECK(insisted.corners[i].at == Approx(d.cells[i].trim_at).margin(2.0e-3));
        }
    }
}

TEST_CASE("A spread no larger than the readings' own uncertainty is left alone", "[trim]") {
    const scale::Description d = plain_deck(scale::TrimKind::excitation_series);
    // 0.4 division over 10 t of a difference, 0.25 division of repeatability: the range of four normal
    // numbers is 2.059 standard deviations in the mean (d2 of control charts), so 0.5 division and more.
    const std::vector<double> nearly = {1.0004, 1.0, 1.0, 1.0};
    const TrimSolution s = solve(d, with_gains(d, nearly).corner_readings(10000.0), false);
    CHECK(s.verdict == TrimVerdict::leave_it);
    CHECK(s.spread_before_kg == Approx(4.0).epsilon(0.01));
    CHECK(s.readings_alone.expected_kg > 0.9 * 2.059 * 2.5);
    CHECK(s.readings_alone.expected_kg < 1.2 * 2.059 * 2.5);

    const std::vector<double> apart = {1.002, 1.0, 1.0, 1.0};
    CHECK(solve(d, with_gains(d, apart).corner_readings(10000.0), false).verdict == TrimVerdict::solved);
}

TEST_CASE("Trims whose corners agree within the readings stay, and the others come to them", "[trim]") {
    // 0.25 division of repeatability over 10 t is 2.5 kg; three equal corners are read 1.693 times as far
    // apart in the mean (d2 of control charts), 4.2 kg: corners 1, 2 and 4, within 3 kg, stay.
    const std::vector<double> gains = {1.0002, 1.0, 1.004, 0.9999};
    for (const double turns : {25.0, 0.0}) {
        scale::Description d = plain_deck(scale::TrimKind::excitation_series);
        d.trim.turns = turns;
        for (auto& cell : d.cells) cell.trim_at = turns > 0.0 ? 5.0 : 4.0;
        HiddenScale hidden = with_gains(d, gains);
        const TrimSolution s = solve(d, hidden.corner_readings(10000.0), false);
        REQUIRE(s.verdict == TrimVerdict::solved);
        for (unsigned i = 0; i < 4; ++i) {
            CAPTURE(turns, i);
            CHECK(s.corners[i].stays == (i != 2));
            CHECK((s.corners[i].fitted_at == d.cells[i].trim_at) == (i != 2));
            CHECK_FALSE(s.corners[i].at_stop);
        }
        // To first order a trim takes Rin times the excess, over what it has taken already.
        const double mean = (1.0002 + 1.0 + 0.9999) / 3.0;
        CHECK(s.corners[2].ohm - 4.0 == Approx(394.0 * (1.004 / mean - 1.0)).epsilon(0.02));
        CHECK(s.corners[2].at_sd > 0.0);
        CHECK(s.corners[0].at_sd == 0.0);
        for (int i = 0; i < 4; ++i) hidden.set_trim(i, s.corners[static_cast<unsigned>(i)].fitted_at);
        CHECK(hidden.spread_kg(10000.0) < 4.2);

        // All of them, where that is asked for: one takes no signal then.
        const TrimSolution all = solve(d, with_gains(d, gains).corner_readings(10000.0), true);
        int at_stop = 0;
        for (unsigned i = 0; i < 4; ++i) {
            CHECK_FALSE(all.corners[i].stays);
            at_stop += all.corners[i].at_stop ? 1 : 0;
        }
        CHECK(at_stop == 1);
    }
    // A corner that is too light comes up to the others while its trim has something to give back, and brings
    // them down when it has not.
    const std::vector<double> light = {1.0, 1.0, 0.996, 1.0};
    scale::Description d = plain_deck(scale::TrimKind::excitation_series);
    for (auto& cell : d.cells) cell.trim_at = 5.0;
    const TrimSolution up = solve(d, with_gains(d, light).corner_readings(10000.0), false);
    REQUIRE(up.verdict == TrimVerdict::solved);
    CHECK(up.corners[0].stays);
    CHECK(up.corners[2].at < 5.0);
    for (auto& cell : d.cells) cell.trim_at = 0.0;
    const TrimSolution down = solve(d, with_gains(d, light).corner_readings(10000.0), false);
    REQUIRE(down.verdict == TrimVerdict::solved);
    CHECK(down.corners[2].fitted_at == 0.0);
    for (const unsigned i : {0u, 1u, 3u}) CHECK(down.corners[i].fitted_at > 0.5);
}

TEST_CASE("A corner out of trim range is named with the ohms it lacks", "[trim]") {
    const scale::Description d = plain_deck(scale::TrimKind::excitation_series);
    const std::vector<double> gains = {1.0, 1.07, 1.01, 1.0};
    const TrimSolution s = solve(d, with_gains(d, gains).corner_readings(10000.0));
    CHECK(s.verdict == TrimVerdict::out_of_range);
    CHECK(s.corner == 1);
    std::vector<double> by_hand_ohm = SeriesByHand{}.trims(gains);
    REQUIRE(by_hand_ohm[1] > 20.0);
    CHECK(s.corners[1].beyond_ohm == Approx(by_hand_ohm[1] - 20.0).epsilon(1.0e-4));
    CHECK(s.corners[1].at == 25.0);
    CHECK(s.corners[0].beyond_ohm == 0.0);
    CHECK(s.step_count == 0);
    // What stays with that trim at its stop; before, a gain of 1.02 on average showed 10 000 kg.
    by_hand_ohm[1] = 20.0;
    const std::vector<double> shown = SeriesByHand{}.shown(gains, by_hand_ohm);
    const auto [least, most] = std::minmax_element(shown.begin(), shown.end());
    const double untrimmed = 1.02 * 2.0 / 390.0;
    CHECK(s.spread_after_kg == Approx((*most - *least) / untrimmed * 10000.0).epsilon(1.0e-3));

    // A shunt of 10 k fixed takes least 1 / (R + 2 M + 2 M R / P): 2.9 % with M 1 k; the cell wants 5 %.
    const scale::Description shunted = plain_deck(scale::TrimKind::signal_shunt);
    const TrimSolution t =
        solve(shunted, with_gains(shunted, {1.0, 1.0, 1.05, 1.0}).corner_readings(10000.0));
    CHECK(t.verdict == TrimVerdict::out_of_range);
    CHECK(t.corner == 2);
    const double needed_ohm = 1.0 / (1.05 / 110.0e3 + 0.05 * 2350.0 / 700.0e3);
    CHECK(t.corners[2].beyond_ohm == Approx(10.0e3 - needed_ohm).epsilon(2.0e-3));
}

TEST_CASE("What cannot be trimmed is refused by name", "[trim]") {
    const scale::Description series = plain_deck(scale::TrimKind::excitation_series);
    const std::vector<Reading> corners = with_gains(series, some_gains).corner_readings(10000.0);

    scale::Description none = plain_deck(scale::TrimKind::none);
    CHECK(solve(none, corners).verdict == TrimVerdict::no_trim);
    scale::Description unmixed = plain_deck(scale::TrimKind::signal_shunt);
    unmixed.trim.mixing_ohm = 0.0;
    CHECK(solve(unmixed, corners).verdict == TrimVerdict::shunt_without_mixing);

    std::vector<Reading> lacking = corners;
    lacking.erase(lacking.begin() + 2);
    const TrimSolution missing = solve(series, lacking);
    CHECK(missing.verdict == TrimVerdict::missing_corner);
    CHECK(missing.missing[2]);
    CHECK_FALSE(missing.missing[0]);
    CHECK(solve(series, {}).verdict == TrimVerdict::missing_corner);
    std::vector<Reading> coming_down = corners;
    coming_down[3].direction = Direction::decreasing;
    CHECK(solve(series, coming_down).missing[3]);
    std::vector<Reading> saturated = corners;
    saturated[1].shown = Shown::over_range;
    CHECK(solve(series, saturated).missing[1]);

    const TrimSolution weak =
        solve(series, with_gains(series, {1.0, 1.0, 0.4, 1.0}).corner_readings(10000.0));
    CHECK(weak.verdict == TrimVerdict::implausible_gain);
    CHECK(weak.corner == 2);
    const TrimSolution turned =
        solve(series, with_gains(series, {1.0, -1.0, 1.0, 1.0}).corner_readings(5000.0));
    CHECK(turned.verdict == TrimVerdict::implausible_gain);
    CHECK(turned.corner == 1);

    std::vector<Reading> twice = corners;
    twice.push_back(corners[0]);
    twice.back().value += 8.0 * series.division_kg;
    const TrimSolution contradicting = solve(series, twice);
    CHECK(contradicting.verdict == TrimVerdict::readings_disagree);
    CHECK((contradicting.reading == 0 || contradicting.reading == 4));
}

TEST_CASE("Why a shunt without mixing resistors trims nothing", "[trim]") {
    // By the formula above with M = 0, s / R: P has gone. The circuit agrees.
    scale::Description d = plain_deck(scale::TrimKind::signal_shunt);
    d.trim.mixing_ohm = 0.0;
    HiddenScale hidden = with_gains(d, {1.0, 1.0, 1.0, 1.0});
    hidden.set_trim(0, 0.0);
    CHECK(hidden.spread_kg(10000.0) < 1.0e-3);
}

TEST_CASE("Section readings, other masses and empty readings count", "[trim]") {
    scale::Description d = plain_deck(scale::TrimKind::excitation_series);
    d.deck.twist_stiffness_N_m_per_rad = 2.0e6;
    const HiddenScale hidden = with_gains(d, some_gains, 0.98);
    const TrimSolution corners = solve(d, hidden.corner_readings(10000.0));
    REQUIRE(corners.verdict == TrimVerdict::solved);

    // Sections 1 and 2 with their far corners say the same as four corners, whatever stood there.
    std::vector<Reading> mixed = {
        hidden.reading(hidden.over_section(0, 20000.0)), hidden.reading(hidden.over(0, 8000.0)),
        hidden.reading(hidden.over(1, 12000.0)), hidden.reading(hidden.over_section(1, 16000.0))};
    // An indicator that stands at 3 divisions when empty.
    for (Reading& r : mixed) r.value += 30.0;
    mixed.push_back(Reading{});
    mixed.back().value = 30.0;
    for (Reading& r : mixed) r.uncertainty = 0.1;
    const TrimSolution sections = solve(d, mixed);
    REQUIRE(sections.verdict == TrimVerdict::solved);
    for (unsigned i = 0; i < 4; ++i) {
        CAPTURE(i);
        CHECK(sections.corners[i].at == Approx(corners.corners[i].at).margin(0.02));
    }
    CHECK(sections.span_factor == Approx(corners.span_factor).epsilon(2.0e-5));

    // A section alone does not tell its two corners apart.
    mixed.erase(mixed.begin() + 1);
    const TrimSolution undecided = solve(d, mixed);
    CHECK(undecided.verdict == TrimVerdict::missing_corner);
    CHECK(undecided.missing[0]);
    CHECK(undecided.missing[3]);
    CHECK_FALSE(undecided.missing[1]);
}

TEST_CASE("The weight goes round the deck once, large turns first", "[trim]") {
    scale::Description d = plain_deck(scale::TrimKind::excitation_series);
    const TrimSolution s = solve(d, with_gains(d, {1.001, 1.0, 1.006, 1.012}).corner_readings(10000.0));
    REQUIRE(s.verdict == TrimVerdict::solved);
    REQUIRE(s.step_count == 4);
    CHECK(s.steps[0].corner == 3);
    CHECK(s.steps[1].corner == 2);
    CHECK(s.steps[2].corner == 1);
    CHECK(s.steps[3].corner == 0);
    CHECK(s.steps[0].target.rounded_kg == std::round(s.steps[0].target.kg / 10.0) * 10.0);
    // The last corner is disturbed by none: its net weight is the common one.
    CHECK(s.steps[3].check.kg == Approx(s.shown_per_kg * 10000.0).epsilon(1.0e-6));
}

TEST_CASE("Weights rounded to the division are told from finer ones", "[trim]") {
    const scale::Description d = plain_deck(scale::TrimKind::excitation_series);
    std::vector<Reading> readings = with_gains(d, some_gains).corner_readings(10000.0);
    CHECK(solve(d, readings).resolution_kg == 0.0);
    for (Reading& r : readings) r.value = std::round(r.value);
    CHECK(solve(d, readings).resolution_kg == Approx(1.0));
    for (Reading& r : readings) r.value = 10.0 * std::round(r.value / 10.0);
    const TrimSolution s = solve(d, readings);
    CHECK(s.resolution_kg == 10.0);
    // Rounding adds 1 / sqrt(12) of a division to 0.25 of repeatability: 0.382 instead of 0.25.
    CHECK(s.corners[0].relative_gain_sd == Approx(std::sqrt(0.75) * 0.382 * 10.0 / 10000.0).epsilon(0.05));
}
