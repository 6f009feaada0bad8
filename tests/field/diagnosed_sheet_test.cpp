#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "firmware/weighing/division.h"
#include "firmware/weighing/still_scale.h"
#include "sim/field/diagnosed_sheet.h"
#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/ranking.h"
#include "tests/diagnosis/sheets.h"

using namespace cornerbench;
using scale::Cause;

namespace {

diagnosis::Reading weight(const scale::Description& d, double mass_kg, int support, double value_kg) {
    diagnosis::Reading r;
    if (mass_kg > 0.0) {
        r.load.count = 1;
        const auto section = static_cast<unsigned>(scale::section_of(support, d.deck.sections));
        r.load.standing[0] = {mass_kg, d.deck.section_x_m[section],
                              scale::is_far(support, d.deck.sections) ? d.deck.width_m : 0.0};
    }
    r.value = value_kg;
    return r;
}

field::DiagnosedSheet diagnosed(const scale::Description& d,
                                const std::vector<diagnosis::Reading>& readings) {
    diagnosis::Sheet sheet;
    sheet.readings = readings;
    return field::diagnose_sheet(d, sheet, diagnosis::default_priors(d));
}

}  // namespace

TEST_CASE("Two readings of one load that no uncertainty reconciles are named", "[field]") {
    const scale::Description d = oracle::trimmed_scale(4);
    const double mass = 0.2 * d.max_kg;
    const double off = 20.0 * d.division_kg;
    const std::vector<diagnosis::Reading> readings{weight(d, 0.0, 0, 0.0), weight(d, mass, 2, mass - off),
                                                   weight(d, mass, 2, mass + off), weight(d, mass, 3, mass)};
    const field::DiagnosedSheet found = diagnosed(d, readings);
    REQUIRE(found.contradictions.size() == 1);
    CHECK(found.contradictions[0].first == 1);
    CHECK(found.contradictions[0].second == 2);
    // 40 divisions over the deviation of a difference of two: repeatability 0.25 d and rounding, an even
    // spread over one division (GUM, JCGM 100:2008, 4.3.7), each.
    const double expected = 40.0 / std::sqrt(2.0 * (0.25 * 0.25 + 1.0 / 12.0));
    CHECK(found.contradictions[0].standard_uncertainties == Approx(expected).epsilon(0.01));

    std::vector<diagnosis::Reading> agree = readings;
    agree[1].value = mass;
    agree[2].value = mass + d.division_kg;
    CHECK(diagnosed(d, agree).contradictions.empty());
}

TEST_CASE("A weight put down anew over a dead cell contradicts nothing", "[field]") {
    // By the bilinear shares a few centimetres move divisions of load between the dead cell and its sound
    // neighbours, which the uncertainty of placing allows for.
    const scale::Description d = oracle::trimmed_scale(4);
    const double mass = 0.2 * d.max_kg;
    const scale::Fault dead = oracle::fault_at(Cause::weak_output, 2, 0.05);
    scale::Condition c = scale::sound_condition(d);
    scale::apply(dead, d, c);
    weighing::StillScale scale(d, c);
    const weighing::ZeroAndSpan calibration = weighing::sound_calibration(d);
    const auto shown = [&](int support, double off_m) {
        diagnosis::Reading r = weight(d, mass, support, 0.0);
        const diagnosis::Standing& s = r.load.standing[0];
        const mechanics::PointLoad load{s.x_m + (s.x_m > 0.0 ? -off_m : off_m), s.y_m, mass * d.gravity};
        scale.put({&load, 1});
        r.value = weighing::rounded_kg(scale.read(calibration).weight_kg, d.division_kg);
        return r;
    };
    std::vector<diagnosis::Reading> readings{weight(d, 0.0, 0, 0.0)};
    for (const int support : {2, 0, 2, 1, 3})
        readings.push_back(shown(support, readings.size() == 3 ? 0.1 : 0.0));
    // More than six of the two readings' own uncertainties.
    REQUIRE(std::fabs(readings[1].value - readings[3].value) > 5.0 * d.division_kg);
    scale.put({});
    readings[0].value = weighing::rounded_kg(scale.read(calibration).weight_kg, d.division_kg);
    const field::DiagnosedSheet found = diagnosed(d, readings);
    CHECK(found.contradictions.empty());
}

TEST_CASE("What was set aside does not stand in the table nor speak in it", "[field][long]") {
    const scale::Description d = oracle::trimmed_scale(4);
    const scale::Fault truth = oracle::fault_at(Cause::weak_output, 1, 0.9);
    field::SimulatedSheet sheet = oracle::exact_sheet(d, truth);
    const std::vector<diagnosis::Reading> clean = sheet.readings;
    const auto rows_of = [&](const std::vector<diagnosis::Reading>& readings) {
        sheet.readings = readings;
        return field::diagnose_sheet(d, sheet.sheet(), diagnosis::default_priors(d));
    };
    int spoilt = -1;
    for (std::size_t i = 0; i < clean.size() && spoilt < 0; ++i) {
        const diagnosis::Reading& r = clean[i];
        if (r.quantity == diagnosis::Quantity::weight && r.load.count == 1) spoilt = static_cast<int>(i);
    }
    REQUIRE(spoilt >= 0);
    std::vector<diagnosis::Reading> mistyped = clean;
    mistyped[static_cast<std::size_t>(spoilt)].value *= 1.5;
    const field::DiagnosedSheet found = rows_of(mistyped);
    REQUIRE(found.outcome.wild_count == 1);
    CHECK(found.outcome.wild[0].reading == spoilt);
    REQUIRE(!found.explained.empty());

    std::vector<diagnosis::Reading> without = clean;
    without.erase(without.begin() + spoilt);
    const field::DiagnosedSheet plain = rows_of(without);
    REQUIRE(!plain.explained.empty());
    REQUIRE(found.explained[0].rows.size() == plain.explained[0].rows.size());
    for (std::size_t i = 0; i < plain.explained[0].rows.size(); ++i) {
        CHECK(found.explained[0].rows[i].reading != spoilt);
        CHECK(found.explained[0].rows[i].given_others ==
              Approx(plain.explained[0].rows[i].given_others).margin(1.0e-9).epsilon(1.0e-6));
    }
}

TEST_CASE("The next reading tells one wire from the other", "[field]") {
    const scale::Description d = oracle::trimmed_scale(4);
    diagnosis::Reading ohms = oracle::ohms_of(1, scale::Wire::excitation_plus, scale::Wire::excitation_minus);
    ohms.value = std::numeric_limits<double>::infinity();
    // The signal pair is there: the cable is not off as a whole.
    diagnosis::Reading pair = oracle::ohms_of(1, scale::Wire::signal_plus, scale::Wire::signal_minus);
    pair.value = 352.0;
    const field::DiagnosedSheet found = diagnosed(d, {ohms, pair});
    REQUIRE(!found.next.empty());
    // The first one does; a second need only tell what is open then.
    const field::NextCheck& first = found.next.front();
    CHECK(first.reading.cell == 1);
    CHECK(first.of_doubt > 0.5);
    std::vector<field::NextCheck> all = found.next;
    all.insert(all.end(), found.further.begin(), found.further.end());
    const bool by_ohmmeter = std::any_of(all.begin(), all.end(), [](const field::NextCheck& check) {
        return check.reading.quantity == diagnosis::Quantity::resistance && check.of_doubt > 0.9;
    });
    CHECK(by_ohmmeter);
}

TEST_CASE("A sound scale's sheet explains no fault that is less likely than a sound scale", "[field]") {
    const scale::Description d = oracle::trimmed_scale(4);
    const field::DiagnosedSheet found = field::diagnose_sheet(
        d, oracle::exact_sheet(d, scale::Fault{}).sheet(), diagnosis::default_priors(d));
    REQUIRE(found.candidates.front().fault.cause == Cause::healthy);
    for (const field::Comparison& e : found.explained) {
        CHECK(found.candidates[static_cast<std::size_t>(e.candidate)].probability >= 0.05);
    }
}

TEST_CASE("Where no cause explains the readings the nearest is shown beside them", "[field]") {
    const scale::Description d = oracle::trimmed_scale(4);
    const double mass = 0.2 * d.max_kg;
    const double off = 25.0 * d.division_kg;
    const field::DiagnosedSheet found =
        diagnosed(d, {weight(d, 0.0, 0, 0.0), weight(d, mass, 0, mass - off), weight(d, mass, 1, mass + off),
                      weight(d, mass, 2, mass - off), weight(d, mass, 3, mass + 0.6 * off)});
    REQUIRE(found.candidates.front().fault.cause == Cause::unlisted);
    REQUIRE(found.nearest.has_value());
    CHECK(found.nearest->rows.size() == 5);
    CHECK(found.nearest->candidate >= 0);
}

TEST_CASE("What was seen and the answer does not let expect is named", "[field]") {
    const scale::Description d = oracle::trimmed_scale(4);
    const double mass = 0.2 * d.max_kg;
    std::vector<diagnosis::Reading> sound;
    for (int support = 0; support < 4; ++support) sound.push_back(weight(d, mass, support, mass));
    CHECK(diagnosed(d, sound).unexpected.empty());

    SECTION("an arrow that points the wrong way on a scale that weighs right") {
        sound.push_back(oracle::look_at(diagnosis::Look::load_arrow, 1, false));
        const field::DiagnosedSheet found = diagnosed(d, sound);
        CHECK(found.candidates.front().fault.cause == Cause::healthy);
        REQUIRE(found.unexpected.size() == 1);
        CHECK(found.unexpected[0].reading == 4);
        REQUIRE(found.unexpected[0].shown_by >= 0);
        const scale::Fault& shown_by =
            found.candidates[static_cast<std::size_t>(found.unexpected[0].shown_by)].fault;
        CHECK(shown_by.cause == Cause::upside_down);
        CHECK(shown_by.site.index == 1);
    }
    SECTION("an end gap that is not as it should be") {
        sound.push_back(oracle::look_at(diagnosis::Look::end_gap, 0, false));
        const field::DiagnosedSheet found = diagnosed(d, sound);
        if (found.candidates.front().fault.cause == Cause::rubbing) {
            CHECK(found.unexpected.empty());
        } else {
            REQUIRE(found.unexpected.size() == 1);
            const scale::Fault& shown_by =
                found.candidates[static_cast<std::size_t>(found.unexpected[0].shown_by)].fault;
            CHECK(shown_by.cause == Cause::rubbing);
        }
    }
    SECTION("a pair of wires that nothing connects") {
        sound.push_back(oracle::ohms_of(2, scale::Wire::signal_plus, scale::Wire::signal_minus));
        sound.back().shown = diagnosis::Shown::over_range;
        const field::DiagnosedSheet found = diagnosed(d, sound);
        const scale::Cause first = found.candidates.front().fault.cause;
        CAPTURE(scale::name_of(first));
        REQUIRE(found.unexpected.size() == 1);
        CHECK(found.unexpected[0].reading == 4);
        CHECK(found.unexpected[0].by_answer.probability < 0.01);
    }
}

TEST_CASE("What two causes leave over is named beside them", "[field]") {
    // A backwards cell takes twice its share away (common practice, no source); nothing of it reaches the
    // corner across, which reads low by a fifth, nor the one beside, which reads low by a twelfth.
    scale::Description d = oracle::plain_scale(4);
    d.deck.twist_stiffness_N_m_per_rad = 0.0;
    d.deck.section_x_m[1] = 7.0;
    d.deck.width_m = 3.0;
    d.division_kg = 10.0;
    const double mass = 5000.0;
    std::vector<diagnosis::Reading> readings{weight(d, mass, 0, 0.92 * mass), weight(d, mass, 1, -mass),
                                             weight(d, mass, 2, 0.8 * mass), weight(d, mass, 3, mass)};
    // Each corner read twice: something on no list would have to miss alike both times.
    for (int i = 0; i < 4; ++i) readings.push_back(readings[static_cast<std::size_t>(i)]);
    diagnosis::Sheet sheet;
    sheet.readings = readings;
    sheet.zeroed = diagnosis::Zeroed::now;
    const field::DiagnosedSheet found = field::diagnose_sheet(d, sheet, diagnosis::default_priors(d));
    REQUIRE(found.fits_no_cause());
    // What they leave over is more than chance: something is there that is on no list.
    REQUIRE(found.candidates.front().fault.cause == Cause::unlisted);
    REQUIRE(found.nearest);
    const diagnosis::Candidate& nearest =
        found.candidates[static_cast<std::size_t>(found.nearest->candidate)];
    REQUIRE(nearest.two_at_once());
    REQUIRE(nearest.fault.site.index == 1);
    REQUIRE(nearest.also.site.index == 2);
    REQUIRE(!found.left_over.empty());
    for (const int row : found.left_over) {
        CHECK(found.answer.rows[static_cast<std::size_t>(row)].reading % 4 == 0);
    }
}

TEST_CASE("The nearest cause is the one that misses least, and only if it is clearly nearer", "[field]") {
    const scale::Description d = oracle::trimmed_scale(4);
    const double mass = 0.2 * d.max_kg;
    // Every corner off by another amount that no cause here gives.
    const std::vector<diagnosis::Reading> readings{
        weight(d, 0.0, 0, 0.0), weight(d, mass, 0, 1.9 * mass), weight(d, mass, 1, 0.2 * mass),
        weight(d, mass, 2, 1.7 * mass), weight(d, mass, 3, 0.4 * mass)};
    diagnosis::Sheet sheet;
    sheet.readings = readings;
    const field::DiagnosedSheet found = field::diagnose_sheet(d, sheet, diagnosis::default_priors(d));
    REQUIRE(found.candidates.front().fault.cause == Cause::unlisted);
    // What the nearest leaves over is named, and there is none without one.
    CHECK(found.left_over.empty() == !found.nearest);
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    const auto misfit = [&](const scale::Fault& fault) {
        return diagnosis::misfit_of(d, sheet, fault, {}, memory);
    };
    const double healthy = misfit({});
    double least = healthy;
    for (const diagnosis::Candidate& c : found.candidates) {
        if (c.fault.cause == Cause::unlisted) continue;
        least = std::min(least, misfit(c.fault));
    }
    CAPTURE(healthy, least);
    if (found.nearest) {
        const auto at = static_cast<std::size_t>(found.nearest->candidate);
        const double nearest = misfit(found.candidates[at].fault);
        CHECK(nearest < 0.5 * healthy);
        CHECK(nearest == Approx(least).epsilon(0.1));
    } else {
        CHECK(least > 0.4 * healthy);
    }
}

TEST_CASE("A cause that only widens a prediction says so, and by how much", "[field]") {
    // Bilinear shares: beside a cell that counts backwards the weight shown changes by twice the mass over
    // the length for every metre that the load is off (closed form of the share's slope).
    scale::Description d = oracle::plain_scale(4);
    d.deck.twist_stiffness_N_m_per_rad = 0.0;
    const double mass = 5000.0;
    const std::vector<diagnosis::Reading> readings{weight(d, mass, 1, mass - 10.0 * d.division_kg)};
    diagnosis::Sheet sheet;
    sheet.readings = readings;
    sheet.zeroed = diagnosis::Zeroed::now;
    const scale::Fault backwards = oracle::fault_at(Cause::upside_down, 0);
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    diagnosis::Compared with[1];
    diagnosis::Compared healthy[1];
    REQUIRE(diagnosis::compare(d, sheet, backwards, {}, memory, with) == 1);
    REQUIRE(diagnosis::compare(d, sheet, {}, {}, memory, healthy) == 1);
    const double length = d.deck.section_x_m[1] - d.deck.section_x_m[0];
    const double placing = 2.0 * mass * sheet.instruments.placing_m / length;
    CHECK(std::hypot(placing, healthy[0].uncertainty) == Approx(with[0].uncertainty).epsilon(0.05));
    CHECK(with[0].predicted == Approx(healthy[0].predicted).margin(0.2 * d.division_kg));
    CHECK(field::only_widened(healthy[0], with[0]));
    CHECK_FALSE(field::only_widened(healthy[0], healthy[0]));

    const field::DiagnosedSheet found = field::diagnose_sheet(d, sheet, diagnosis::default_priors(d));
    for (const field::Comparison& c : found.explained) {
        if (c.candidate < 0 || c.rows.empty()) continue;
        const bool only = field::only_widened(found.if_healthy.rows[0], c.rows[0]);
        CHECK(c.widened.size() == (only ? 1U : 0U));
        // What turns a cell's share round doubles how fast it changes with the place.
        const Cause cause = found.candidates[static_cast<std::size_t>(c.candidate)].fault.cause;
        const bool turned = cause == Cause::upside_down || cause == Cause::signal_pair_swapped ||
                            cause == Cause::excitation_pair_swapped;
        if (only && turned) CHECK(c.widened[0].by_placing);
    }
}
