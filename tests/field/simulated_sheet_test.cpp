#include "sim/field/simulated_sheet.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>

#include "sim/field/fault_draw.h"
#include "sim/field/places.h"
#include "sim/field/test_load.h"
#include "sim/field/trimmed_corners.h"
#include "tests/field/field_scales.h"

using namespace cornerbench;
using namespace cornerbench::field;
using diagnosis::Quantity;
using diagnosis::Reading;
using scale::Cause;
using scale::SiteKind;

namespace {

std::vector<double> values_of(const SimulatedSheet& sheet) {
    std::vector<double> values;
    for (const Reading& r : sheet.readings) values.push_back(r.value);
    return values;
}

bool same_bits(const std::vector<double>& a, const std::vector<double>& b) {
    return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(double)) == 0;
}

/// Largest difference between the weights over the corners of a sound specimen, exactly read.
double corner_spread_kg(const scale::Description& d, diagnosis::History history, std::uint64_t seed) {
    SheetSetting setting;
    setting.history = history;
    setting.noisy = false;
    SheetPlan plan;
    plan.sections = plan.returned = plan.excitation = plan.channels = false;
    plan.input_output = plan.insulation = plan.empty_signals = plan.loaded_signals = false;
    const SimulatedSheet sheet = simulate_sheet(d, {}, seed, plan, setting);
    REQUIRE(sheet.readings.size() == 9);
    const auto values = values_of(sheet);
    const auto [low, high] = std::minmax_element(values.begin() + 1, values.end());
    return *high - *low;
}

}  // namespace

TEST_CASE("one seed gives one sheet, another gives another", "[field]") {
    const scale::Description d = stiff_eight();
    const auto first = values_of(simulate_sheet(d, {}, 7));
    CHECK(same_bits(first, values_of(simulate_sheet(d, {}, 7))));
    CHECK_FALSE(same_bits(first, values_of(simulate_sheet(d, {}, 8))));
}

TEST_CASE("a sheet holds every reading of its plan, in order", "[field]") {
    // 1 excitation; empty, 8 corners, 4 sections, empty again; 3 resistances and an empty signal of 8 cells;
    // 8 loaded signals.
    const SimulatedSheet summed = simulate_sheet(stiff_eight(), {}, 1);
    CHECK(summed.readings.size() == 1 + 14 + 32 + 8);
    CHECK(summed.readings[0].quantity == Quantity::excitation);
    CHECK(summed.readings[1].load.count == 0);
    CHECK(summed.readings[2].load.standing[0].y_m == 2.6);
    CHECK(summed.readings[14].direction == diagnosis::Direction::returned);
    // A box with a channel per cell adds each channel empty and loaded.
    CHECK(simulate_sheet(per_cell_eight(), {}, 1).readings.size() == 1 + 14 + 16 + 32 + 8);
    SheetPlan weights;
    weights.excitation = weights.input_output = weights.insulation = false;
    weights.empty_signals = weights.loaded_signals = weights.sections = weights.returned = false;
    CHECK(simulate_sheet(stiff_eight(), {}, 1, weights).readings.size() == 9);
}

TEST_CASE("without scatter and noise a sound scale weighs what stands on it", "[field]") {
    SheetSetting exact;
    exact.scatter = no_scatter;
    exact.noisy = false;
    for (const scale::Description& d : {limp_eight(), stiff_eight(), per_cell_eight()}) {
        const SimulatedSheet sheet = simulate_sheet(d, {}, 3, {}, exact);
        for (const Reading& r : sheet.readings) {
            // The summed bus bends the straight line by a few parts in a million.
            if (r.quantity == Quantity::weight) CHECK(r.value == Approx(r.load.total_kg()).margin(0.5));
            const bool output = r.quantity == Quantity::resistance && r.between_a == scale::Wire::signal_plus;
            // 350 ohm and 2 x 14 m of 0.3255 mm2 copper: 1.483 ohm (IEC 60028, 17.241 nohm m).
            if (output && r.between_b == scale::Wire::signal_minus)
                CHECK(r.value == Approx(351.483).margin(0.01));
        }
    }
}

TEST_CASE("corners are trimmed as well as trims go", "[field]") {
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        INFO("seed " << seed);
        // Left over are 0.3 turns of 20 ohm in 25 turns, 0.06 % each: of 8 500 kg some 5 kg.
        CHECK(corner_spread_kg(stiff_eight(), diagnosis::History::calibrated, seed) < 40.0);
        CHECK(corner_spread_kg(per_cell_eight(), diagnosis::History::calibrated, seed) < 15.0);
        CHECK(corner_spread_kg(stiff_eight(), diagnosis::History::unadjusted, seed) > 20.0);
    }
    scale::Condition c = scale::sound_condition(stiff_eight());
    for (int i = 0; i < 8; ++i) {
        c.cells[static_cast<unsigned>(i)].sensitivity_V_per_V *= 1.0 + 1.0e-3 * i;
    }
    trim_corners_equal(stiff_eight(), 8500.0, c);
    weighing::StillScale scale(stiff_eight(), c);
    const weighing::ZeroAndSpan calibration = scale.calibrate(30000.0);
    double first = 0.0;
    for (int i = 0; i < 8; ++i) {
        const Place at = over_support(c.deck, i);
        const std::array load{mechanics::PointLoad{at.x_m, at.y_m, 8500.0 * c.gravity}};
        scale.put(load);
        const double shown = scale.read(calibration).weight_kg;
        if (i == 0) first = shown;
        CHECK(shown == Approx(first).margin(0.1));
    }
}

TEST_CASE("a loose terminal is in the box and not in the lifted cell", "[field]") {
    const scale::Description d = stiff_eight();
    const scale::Fault loose{
        Cause::loose_terminal, {SiteKind::cell, 4, 0}, {scale::Wire::signal_plus, {}, 0, {}}, {40.0, 0.0}};
    const SimulatedSheet sound = simulate_sheet(d, {}, 5);
    const SimulatedSheet faulty = simulate_sheet(d, {&loose, 1}, 5);
    REQUIRE(sound.readings.size() == faulty.readings.size());
    const double zero_kg = faulty.readings[1].value - sound.readings[1].value;
    for (std::size_t i = 0; i < sound.readings.size(); ++i) {
        const Reading& r = sound.readings[i];
        const double change = faulty.readings[i].value - r.value;
        if (r.quantity == Quantity::resistance || r.quantity == Quantity::signal) CHECK(change == 0.0);
        if (r.quantity != Quantity::weight || r.load.count == 0) continue;
        const bool over_it = r.load.standing[0].x_m == 18.0 && r.load.standing[0].y_m == 0.0;
        if (over_it) CHECK(change - zero_kg < -300.0);
    }
}

TEST_CASE("lifted cells are named by their place in the box", "[field]") {
    const scale::Description d = limp_eight();
    const scale::Fault swapped{Cause::swapped_cells, {SiteKind::cell_pair, 1, 4}, {}, {}};
    SheetSetting exact;
    exact.scatter = no_scatter;
    exact.noisy = false;
    const SimulatedSheet sheet = simulate_sheet(d, {&swapped, 1}, 1, {}, exact);
    for (const Reading& r : sheet.readings) {
        if (r.quantity != Quantity::signal || r.load.count == 0) continue;
        // The load alone gives 8 500 kg of 30 t, of 20 mV: 5.7 mV; the dead load 0.9 to 1.6 mV.
        // cell.
        const bool moved = r.value > 4.0e-3;
        CHECK(moved == (r.cell != 1 && r.cell != 4));
    }
}

TEST_CASE("zeroed now: the empty scale shows nothing whatever happened", "[field]") {
    const scale::Description d = stiff_eight();
    const scale::Fault shifted{Cause::shifted_zero, {SiteKind::cell, 2, 0}, {}, {2.0e-4, 0.0}};
    SheetSetting setting;
    const auto empty_kg = [&] { return simulate_sheet(d, {&shifted, 1}, 9, {}, setting).readings[1].value; };
    // 0.2 mV/V of 2 mV/V is 3 t at that cell, and an eighth of the bus.
    CHECK(empty_kg() == Approx(3000.0).margin(150.0));
    setting.zeroed = diagnosis::Zeroed::now;
    CHECK(std::fabs(empty_kg()) <= 20.0);
}

TEST_CASE("every cause this scale can have is drawn, simulated and applied", "[field]") {
    for (const scale::Description& d : {stiff_eight(), per_cell_eight()}) {
        RandomSource random(3);
        for (int i = 0; i < scale::cause_count; ++i) {
            const auto cause = static_cast<Cause>(i);
            if (!scale::possible(d, cause)) continue;
            INFO(scale::name_of(cause));
            const scale::Fault fault = draw_fault_of(d, cause, random);
            CHECK(fault.cause == cause);
            const scale::Magnitudes m = scale::magnitudes_of(d, cause, fault.site);
            for (unsigned k = 0; k < static_cast<unsigned>(m.count); ++k) {
                CHECK(fault.magnitude[k] >= m.of[k].low);
                CHECK(fault.magnitude[k] <= m.of[k].high);
            }
            const SimulatedSheet sheet = simulate_sheet(d, {&fault, 1}, 4);
            CHECK_FALSE(sheet.readings.empty());
            for (const Reading& r : sheet.readings) CHECK_FALSE(std::isnan(r.value));
        }
    }
}

TEST_CASE("draws follow their weights", "[field]") {
    const scale::Description d = stiff_eight();
    std::array<double, scale::cause_count> weights{};
    weights[static_cast<unsigned>(scale::index_of(Cause::rubbing))] = 3.0;
    weights[static_cast<unsigned>(scale::index_of(Cause::open_wire))] = 1.0;
    RandomSource random(1);
    int rubbing = 0;
    for (int i = 0; i < 4000; ++i) {
        const Cause cause = draw_fault(d, weights, random).cause;
        REQUIRE((cause == Cause::rubbing || cause == Cause::open_wire));
        rubbing += cause == Cause::rubbing ? 1 : 0;
    }
    // Binomial, 3000 expected, standard deviation sqrt(4000 * 0.75 * 0.25) = 27.4: four of them.
    CHECK(std::abs(rubbing - 3000) < 110);
}

TEST_CASE("normal draws have the moments of a standard normal", "[field]") {
    RandomSource random(42);
    constexpr int n = 20000;
    double sum = 0.0;
    double squares = 0.0;
    for (int i = 0; i < n; ++i) {
        const double x = random.normal();
        sum += x;
        squares += x * x;
    }
    // Standard errors 1/sqrt(n) of the mean and sqrt(2/n) of the variance; four of them.
    CHECK(std::fabs(sum / n) < 4.0 / std::sqrt(n));
    CHECK(std::fabs(squares / n - 1.0) < 4.0 * std::sqrt(2.0 / n));
}

TEST_CASE("the generator is the one of the C++ standard", "[field]") {
    // [rand.predef]: the 10000th value of a default-constructed mt19937_64 is 9981545732273789042.
    std::mt19937_64 bits;
    bits.discard(9999);
    CHECK(bits() == 9981545732273789042U);
}

TEST_CASE("usual test loads are a rule's, in round figures", "[field]") {
    scale::Description d = stiff_eight();
    CHECK(usual_corner_kg(d) == Approx(8500.0));  // 60 t / 7 = 8 571 kg
    d.deck.sections = 2;
    CHECK(usual_corner_kg(d) == Approx(20000.0));  // 60 t / 3
    d.deck.sections = 3;
    d.unit = scale::MassUnit::pound;
    d.max_kg = 120000.0 * scale::kilograms_per_pound;
    CHECK(usual_corner_kg(d) == Approx(24000.0 * scale::kilograms_per_pound));  // / 5
}
