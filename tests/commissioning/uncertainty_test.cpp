#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "firmware/weighing/division.h"
#include "sim/commissioning/survey_errors.h"
#include "tests/commissioning/desk.h"

using namespace cornerbench;
using files::PlaceKind;
using files::TestKind;
using files::TestSheet;

TEST_CASE("propagated uncertainties are those of a simulated display", "[commissioning]") {
    // JCGM 100:2008, 5.1.2, beside a Monte Carlo run of 100 000 (JCGM 101:2008) of the procedure itself:
    // weights that err alike, weighings that scatter, a display that rounds, small weights put on one by one,
    // a substitution load matched on the display. Neither knows the other's formulas.
    Desk d = desk("quarry-8", files::Stage::verification);
    auto& lines = d.sheet.lines;
    const double division = 20.0;
    const double step = 2.0;
    d.sheet.uncertainties.weights = 1.0e-4;
    lines.push_back(read_line(TestKind::zero, {}, 0.0, 0.0, 10.0));
    lines.push_back(read_line(TestKind::weighing, spread, 20000.0, 20000.0, 10.0));
    lines.push_back(read_line(TestKind::substitution, spread, 20000.0, 20000.0, 10.0));
    lines.back().substitute_kg = 20000.0;
    lines.push_back(read_line(TestKind::weighing, spread, 35000.0, 35000.0, 10.0));
    lines.back().substitute_kg = 20000.0;
    lines.push_back(read_line(TestKind::weighing, spread, 20000.0, 20000.0, 10.0));
    lines.back().decreasing = true;
    const commissioning::SheetForms forms = commissioning::sheet_forms(d.sheet);

    std::mt19937_64 bits(20261129);
    std::normal_distribution<double> normal(0.0, 1.0);
    std::uniform_real_distribution<double> even(0.0, 1.0);
    const double scatter = d.sheet.uncertainties.repeatability_divisions * division;
    /// What is read of a true weight, by A.4.4.3.
    const auto read = [&](double true_kg) {
        const double w = true_kg + scatter * normal(bits);
        const double shown = weighing::rounded_kg(w, division);
        int n = 1;
        while (weighing::rounded_kg(w + n * step, division) <= shown) ++n;
        return shown + 0.5 * division - n * step;
    };
    constexpr int runs = 100000;
    double squares[3] = {0.0, 0.0, 0.0};
    for (int run = 0; run < runs; ++run) {
        // The scale errs by an unknown part of a division that the day's first zero does not take out.
        const double offset = division * even(bits);
        const double weights = 1.0 + d.sheet.uncertainties.weights * normal(bits);
        const double zero = read(offset);
        const double p20 = read(20000.0 * weights + offset);
        const double true_substitute = 20000.0 * weights + division * (even(bits) - 0.5);
        const double p_substitute = read(true_substitute + offset);
        const double found = 20000.0 + p_substitute - p20;
        const double p35 = read(true_substitute + 15000.0 * weights + offset);
        const double down = read(20000.0 * weights + offset);
        const double errors[3] = {p20 - 20000.0 - zero, p35 - (found + 15000.0) - zero, down - p20};
        for (int i = 0; i < 3; ++i) squares[i] += errors[i] * errors[i];
    }
    commissioning::LinearForm hysteresis = *forms.lines[4].error;
    hysteresis.plus(*forms.lines[1].error, -1.0);
    const double propagated[3] = {forms.lines[1].error->uncertainty(), forms.lines[3].error->uncertainty(),
                                  hysteresis.uncertainty()};
    for (int i = 0; i < 3; ++i) {
        const double seen = std::sqrt(squares[i] / runs);
        INFO("quantity " << i << ": propagated " << propagated[i] << ", simulated " << seen);
        CHECK(std::fabs(propagated[i] / seen - 1.0) < 0.02);
    }
}

TEST_CASE("propagated uncertainties hold for corners off their place and for bare displays",
          "[commissioning]") {
    // JCGM 100:2008, 5.1.2, beside a Monte Carlo run of 100 000 (JCGM 101:2008), on a scale in kilograms and
    // one in pounds whose error is an inclined plane over the deck.
    constexpr int runs = 100000;
    std::mt19937_64 bits(20261130);
    std::normal_distribution<double> normal(0.0, 1.0);
    std::uniform_real_distribution<double> even(0.0, 1.0);
    for (const std::string name : {"quarry-8", "elevator-10"}) {
        INFO(name);
        Desk d = desk(name, files::Stage::verification);
        const scale::Deck& deck = d.sheet.scale.description.deck;
        const double division = d.sheet.scale.description.division_kg;
        const double load = 500.0 * division;
        const double along = 0.6 * division;  // kg per m
        const double across = 1.1 * division;
        d.sheet.uncertainties.placing_m = 0.3;
        d.sheet.uncertainties.weights = 2.0e-4;
        const double step = d.sheet.uncertainties.added_step_divisions * division;
        const double scatter = d.sheet.uncertainties.repeatability_divisions * division;
        auto& lines = d.sheet.lines;
        lines.push_back(read_line(TestKind::zero, {}, 0.0, 0.0, 0.5 * division));
        const int cells = d.sheet.scale.description.cell_count();
        for (int i = 0; i < cells; ++i) {
            const bool far = scale::is_far(i, deck.sections);
            const double x = deck.section_x_m[static_cast<unsigned>(scale::section_of(i, deck.sections))];
            const double error = along * x + across * (far ? deck.width_m : 0.0);
            lines.push_back(read_line(TestKind::eccentricity, {PlaceKind::support, i}, load, load,
                                      0.5 * division - error));
        }
        const commissioning::SheetForms forms = commissioning::sheet_forms(d.sheet);
        TestSheet bare = d.sheet;
        bare.uncertainties.weights = 1.0e-3;
        bare.lines.clear();
        bare.lines.push_back({TestKind::zero, {}});
        bare.lines.back().indication_kg = 0.0;
        bare.lines.push_back({TestKind::weighing, spread, load});
        bare.lines.back().indication_kg = load;
        const commissioning::SheetForms bare_forms = commissioning::sheet_forms(bare);

        const auto shown = [&](double true_kg) {
            return weighing::rounded_kg(true_kg + scatter * normal(bits), division);
        };
        const auto read = [&](double true_kg) {
            const double w = true_kg + scatter * normal(bits);
            const double at = weighing::rounded_kg(w, division);
            int n = 1;
            while (weighing::rounded_kg(w + n * step, division) <= at) ++n;
            return at + 0.5 * division - n * step;
        };
        double corner = 0.0;
        double corner_mean = 0.0;
        double plain = 0.0;
        for (int run = 0; run < runs; ++run) {
            const double offset = division * even(bits);
            const double stands = load * (1.0 + d.sheet.uncertainties.weights * normal(bits)) +
                                  along * d.sheet.uncertainties.placing_m * normal(bits) +
                                  across * d.sheet.uncertainties.placing_m * normal(bits);
            const double error = read(stands + offset) - load - read(offset);
            corner += error * error;
            corner_mean += error;
            const double heavy = load * (1.0 + bare.uncertainties.weights * normal(bits));
            const double off = shown(heavy + offset) - load - shown(offset);
            plain += off * off;
        }
        CHECK(std::fabs(corner_mean / runs) < 0.02 * std::sqrt(corner / runs));
        const double seen[2] = {std::sqrt(corner / runs), std::sqrt(plain / runs)};
        const double propagated[2] = {forms.lines[3].error->uncertainty(),
                                      bare_forms.lines[1].error->uncertainty()};
        for (int i = 0; i < 2; ++i) {
            INFO("quantity " << i << ": propagated " << propagated[i] << ", simulated " << seen[i]);
            CHECK(std::fabs(propagated[i] / seen[i] - 1.0) < 0.02);
        }
    }
}
