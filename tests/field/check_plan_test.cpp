#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "sim/field/check_plan.h"
#include "sim/field/check_values.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/field/open_question.h"
#include "sim/field/possible_checks.h"
#include "sim/field/simulated_sheet.h"
#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/sheets.h"

using namespace cornerbench;
using diagnosis::Quantity;
using diagnosis::Reading;
using scale::Cause;

namespace {

/// Two of three candidates that one number tells apart.
std::vector<field::Expectation> three_apart(double by) {
    return {{0.0, 1.0, diagnosis::Shown::value},
            {by, 1.0, diagnosis::Shown::value},
            {2.0 * by, 1.5, diagnosis::Shown::value}};
}

std::vector<diagnosis::Candidate> three_causes() {
    std::vector<diagnosis::Candidate> about(3);
    about[1].fault.cause = Cause::excitation_low;
    about[2].fault.cause = Cause::sense_open;
    about[0].probability = 0.5;
    about[1].probability = 0.3;
    about[2].probability = 0.2;
    return about;
}

}  // namespace

TEST_CASE("What a number tells is the mean fall of entropy over many such numbers", "[field]") {
    // The definition of mutual information (Shannon 1948, section 12), by simulation.
    const std::vector<diagnosis::Candidate> about = three_causes();
    const field::OpenClasses classes = field::classes_of(about);
    for (const double by : {0.5, 2.0, 6.0}) {
        INFO("apart by " << by);
        const std::vector<field::Expectation> expected = three_apart(by);
        std::mt19937_64 random(11);
        std::normal_distribution<double> normal;
        std::discrete_distribution<std::size_t> which{0.5, 0.3, 0.2};
        constexpr int draws = 20000;
        double sum = 0.0;
        double squares = 0.0;
        for (int i = 0; i < draws; ++i) {
            const field::Expectation& from = expected[which(random)];
            const double y = from.mean + from.deviation * normal(random);
            std::vector<double> posterior;
            for (std::size_t k = 0; k < 3; ++k) {
                const double z = (y - expected[k].mean) / expected[k].deviation;
                posterior.push_back(about[k].probability * std::exp(-0.5 * z * z) / expected[k].deviation);
            }
            field::OpenClasses then = classes;
            then.weigh(posterior);
            const double fall = classes.doubt_bits() - then.doubt_bits();
            sum += fall;
            squares += fall * fall;
        }
        const double mean = sum / draws;
        const double scatter = std::sqrt((squares / draws - mean * mean) / draws);
        CHECK(std::fabs(field::bits_of_number(classes, expected) - mean) < 4.0 * scatter + 1.0e-3);
    }
}

TEST_CASE("A plan's second check tells what the first does not", "[field]") {
    const scale::Description d = oracle::trimmed_scale(8);
    field::SheetPlan plan;
    plan.excitation = plan.sections = plan.input_output = plan.insulation = false;
    plan.empty_signals = plan.loaded_signals = false;
    const field::SimulatedSheet sheet = field::simulate_sheet(d, {}, 3, plan);
    const field::DiagnosedSheet found = field::diagnose_sheet(d, sheet.sheet(), diagnosis::default_priors(d));
    REQUIRE(found.next.size() >= 2);
    int excitations = 0;
    for (const field::NextCheck& check : found.next) {
        excitations += check.reading.quantity == Quantity::excitation ? 1 : 0;
    }
    // The same volts in the box and at a cell's wires are one piece of news.
    CHECK(excitations <= 1);
    // Beside others no check tells more than the doubt that is left.
    double together = 0.0;
    for (const field::NextCheck& check : found.next) together += check.of_doubt;
    CHECK(together <= 1.0);
}

TEST_CASE("Where no cause on the list explains the sheet, the plan begins with the odd reading again",
          "[field]") {
    // An empty deck and a bus too high by far more than the supply's tolerance; no corner was read.
    const scale::Description d = oracle::trimmed_scale(8);
    Reading volts = oracle::excitation_at(diagnosis::ExcitationPlace::box);
    volts.value = 1.04 * d.excitation_V;
    const std::vector<Reading> readings{oracle::weight_under({}), volts};
    diagnosis::Sheet sheet;
    sheet.readings = readings;
    const field::DiagnosedSheet found = field::diagnose_sheet(d, sheet, diagnosis::default_priors(d));
    REQUIRE(found.candidates.front().fault.cause == Cause::unlisted);
    REQUIRE(found.next.size() >= 2);
    CHECK(found.next[0].repeats == 1);
    CHECK(found.next[1].repeats == -1);

    // Read again, it need not be read a third time.
    std::vector<Reading> twice = readings;
    twice.push_back(volts);
    sheet.readings = twice;
    for (const field::NextCheck& check : field::diagnose_sheet(d, sheet, diagnosis::default_priors(d)).next) {
        CHECK(check.repeats == -1);
    }
}

TEST_CASE("Every insulation and every section on the way down can be read next", "[field]") {
    const scale::Description d = oracle::trimmed_scale(6);
    const auto possible = field::possible_checks(d, {}, {}, {}, {});
    int insulations = 0;
    int down = 0;
    for (const field::PossibleCheck& check : possible) {
        const Reading& r = check.reading;
        insulations += r.quantity == Quantity::resistance && r.between_b == scale::Wire::shield ? 1 : 0;
        down += r.direction == diagnosis::Direction::decreasing ? 1 : 0;
    }
    // Four wires of each cell; each corner and each section.
    CHECK(insulations == 4 * 6);
    CHECK(down == 6 + 3);
}
