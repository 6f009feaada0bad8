#include <catch2/catch.hpp>

#include <cmath>
#include <limits>

#include "firmware/diagnosis/inspection.h"
#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/ranking.h"
#include "tests/diagnosis/sheets.h"

// Readings without a value: things looked at, displays over or under range or blank, ohmmeters at their end.

using namespace cornerbench;
using diagnosis::Look;
using diagnosis::Shown;
using oracle::fault_at;
using oracle::rank;
using oracle::Ranking;
using oracle::wire_fault;
using scale::Cause;
using scale::Wire;

TEST_CASE("What was looked at shifts probabilities as Bayes' rule says") {
    const scale::Description d = oracle::trimmed_scale(6);
    const scale::Fault truth = fault_at(Cause::weak_output, 1, 0.98);
    const field::SimulatedSheet sheet = field::simulate_sheet(d, {&truth, 1}, 3, oracle::weights_alone());
    const Ranking before = rank(d, sheet.sheet());
    const diagnosis::Reading looks[] = {
        oracle::look_at(Look::load_arrow, 1, false),     oracle::look_at(Look::wire_colours, 1, true),
        oracle::look_at(Look::gap_at_support, 4, false), oracle::look_at(Look::end_gap, 0, true),
        oracle::look_at(Look::trim, 1, false),           oracle::look_at(Look::terminals, 1, true)};
    field::SimulatedSheet with = sheet;
    for (const diagnosis::Reading& look : looks) {
        with.readings.push_back(look);
        const Ranking after = rank(d, with.sheet());
        const auto weighed = [&](const diagnosis::Candidate& c) {
            double log_likelihood = 0.0;
            for (std::size_t i = sheet.readings.size(); i < with.readings.size(); ++i) {
                log_likelihood += diagnosis::log_inspection(with.readings[i], c.fault);
            }
            return c.probability * std::exp(log_likelihood);
        };
        double all = 0.0;
        for (const diagnosis::Candidate& c : before.candidates) all += weighed(c);
        for (const diagnosis::Candidate& c : before.candidates) {
            CAPTURE(scale::name_of(c.fault.cause), c.fault.site.index, with.readings.size());
            // A look moves a candidate into or out of the ones that get a second, closer integral.
            CHECK(after.probability(c.fault) == Approx(weighed(c) / all).margin(2.0e-3).epsilon(0.02));
        }
    }
}

TEST_CASE("A look finds its own cause at its own place, and finds one of two things") {
    const scale::Description d = oracle::trimmed_scale(6);
    const struct {
        Look look;
        scale::Fault shows;
    } pairs[] = {{Look::load_arrow, fault_at(Cause::upside_down, 2)},
                 {Look::wire_colours, fault_at(Cause::signal_pair_swapped, 2)},
                 {Look::gap_at_support, fault_at(Cause::unseated_support, 2, 5.0e-3)},
                 {Look::trim, fault_at(Cause::trim_off, 2, 3.0)},
                 {Look::terminals, wire_fault(Cause::loose_terminal, 2, Wire::signal_plus, 9.0)}};
    for (const auto& pair : pairs) {
        const diagnosis::Reading wrong = oracle::look_at(pair.look, 2, false);
        const diagnosis::Reading right = oracle::look_at(pair.look, 2, true);
        const diagnosis::Reading elsewhere = oracle::look_at(pair.look, 3, false);
        const double found = std::exp(diagnosis::log_inspection(wrong, pair.shows));
        CAPTURE(scale::name_of(pair.shows.cause));
        CHECK(found >= 0.5);
        CHECK(found + std::exp(diagnosis::log_inspection(right, pair.shows)) == Approx(1.0));
        CHECK(std::exp(diagnosis::log_inspection(elsewhere, pair.shows)) < 0.06);
        CHECK(std::exp(diagnosis::log_inspection(wrong, scale::Fault{})) < 0.06);
        // Alone it raises its cause above every other place of the same.
        const Ranking r = rank(d, std::vector{wrong});
        CHECK(r.probability(pair.shows) > 5.0 * r.probability(fault_at(pair.shows.cause, 3)));
    }
    scale::Fault end = fault_at(Cause::rubbing, 0, 1.0e7, 1.0e4);
    end.site = {scale::SiteKind::left_end, 0, 0};
    CHECK(std::exp(diagnosis::log_inspection(oracle::look_at(Look::end_gap, 0, false), end)) >= 0.5);
}

TEST_CASE("A turned arrow tells an upside-down cell from an exchanged pair") {
    const scale::Description d = oracle::trimmed_scale(4);
    const scale::Fault upside = fault_at(Cause::upside_down, 1);
    const scale::Fault exchange = fault_at(Cause::signal_pair_swapped, 1);
    field::SimulatedSheet sheet = oracle::exact_sheet(d, upside);
    CHECK(rank(d, sheet.sheet()).same_group(upside, exchange));
    sheet.readings.push_back(oracle::look_at(Look::load_arrow, 1, false));
    const Ranking r = rank(d, sheet.sheet());
    CAPTURE(r.leaders());
    CHECK(!r.same_group(upside, exchange));
    CHECK(r.probability(upside) > 0.8);
}

TEST_CASE("An open wire is found by the ohmmeter that shows its end") {
    for (const scale::Description& d : {oracle::trimmed_scale(4), oracle::per_cell_scale(4)}) {
        for (const Wire wire :
             {Wire::excitation_plus, Wire::excitation_minus, Wire::signal_plus, Wire::signal_minus}) {
            const scale::Fault truth = wire_fault(Cause::open_wire, 1, wire);
            const bool supply = wire == Wire::excitation_plus || wire == Wire::excitation_minus;
            diagnosis::Reading ohms = oracle::ohms_of(1, supply ? Wire::excitation_plus : Wire::signal_plus,
                                                      supply ? Wire::excitation_minus : Wire::signal_minus);
            ohms.value = std::numeric_limits<double>::infinity();
            // An endless value and a meter's word for it are one.
            for (const Shown shown : {Shown::value, Shown::over_range}) {
                ohms.shown = shown;
                const Ranking r = rank(d, std::vector{ohms});
                CAPTURE(static_cast<int>(wire), r.leaders());
                CHECK(r.leads(truth));
                CHECK(r.probability(truth) > 0.9);
            }
            const Ranking full = rank(d, oracle::exact_sheet(d, truth).sheet());
            CAPTURE(static_cast<int>(wire), full.leaders());
            CHECK(full.leads(truth));
            CHECK(full.probability(truth) > 0.9);
            // Which of a pair's two wires it is shows in no reading of this sheet.
            const Wire found = full.first().fault.variant.a;
            CHECK((found == Wire::excitation_plus || found == Wire::excitation_minus) == supply);
        }
    }
}

TEST_CASE("An insulation tester clears or accuses") {
    const scale::Description d = oracle::trimmed_scale(6);
    std::vector<diagnosis::Reading> testers;
    for (int cell = 0; cell < d.cell_count(); ++cell) {
        testers.push_back(oracle::ohms_of(cell, Wire::signal_plus, Wire::shield));
        testers.back().value = 4.0e9;
    }
    const scale::Fault leak = fault_at(Cause::wet_leak, 3);
    const double prior = rank(d, std::vector<diagnosis::Reading>{}).probability(leak);
    CHECK(rank(d, testers).probability(leak) < 0.7 * prior);
    testers[3].value = 2.0e5;
    const Ranking wet = rank(d, testers);
    CAPTURE(wet.leaders());
    CHECK(wet.leads(leak));
    CHECK(wet.probability(leak) > 0.9);
}

TEST_CASE("A blank display with the excitation there is an open sense wire") {
    scale::Description d = oracle::trimmed_scale(4);
    d.sense_fallback_ohm = 0.0;
    scale::Fault truth = fault_at(Cause::sense_open);
    truth.variant.home_wire = scale::HomeWire::sense_minus;
    const field::SimulatedSheet sheet = oracle::exact_sheet(d, truth);
    int blank = 0;
    for (const diagnosis::Reading& r : sheet.readings) blank += r.shown == Shown::blank ? 1 : 0;
    CHECK(blank > 5);
    const Ranking r = rank(d, sheet.sheet());
    CAPTURE(r.leaders());
    CHECK(r.leads(truth));
    CHECK(r.group_probability(truth) > 0.95);
}

TEST_CASE("A display over or under range speaks, and so does one that shows a number") {
    for (const scale::Description& d : {oracle::trimmed_scale(4), oracle::per_cell_scale(4)}) {
        // E+ on S+'s terminal: half of the supply as a signal, hundreds of times full scale.
        const scale::Fault crossed =
            wire_fault(Cause::crossed_pairs, 1, Wire::excitation_plus, 0.0, Wire::signal_plus);
        const field::SimulatedSheet sheet = oracle::exact_sheet(d, crossed);
        int beyond = 0;
        for (const diagnosis::Reading& r : sheet.readings) {
            beyond += r.shown == Shown::over_range || r.shown == Shown::under_range ? 1 : 0;
        }
        CHECK(beyond > 5);
        const Ranking r = rank(d, sheet.sheet());
        CAPTURE(r.leaders());
        CHECK(r.leads(crossed));
        CHECK(r.group_probability(crossed) > 0.9);

        // A display that shows a weight clears what would have sent it beyond its range.
        const Ranking shows = rank(d, oracle::exact_sheet(d, {}, oracle::weights_alone()).sheet());
        CHECK(shows.probability(Cause::crossed_pairs) < 1.0e-6);
        CHECK(shows.probability(Cause::sense_open) < 1.0e-3);

        // The other end of the range is another crossing.
        field::SimulatedSheet turned = oracle::exact_sheet(d, crossed, oracle::weights_alone());
        const Ranking straight = rank(d, turned.sheet());
        for (diagnosis::Reading& reading : turned.readings) {
            reading.shown = reading.shown == Shown::over_range    ? Shown::under_range
                            : reading.shown == Shown::under_range ? Shown::over_range
                                                                  : reading.shown;
        }
        const Ranking reversed = rank(d, turned.sheet());
        CAPTURE(straight.leaders(), reversed.leaders());
        CHECK(straight.first().fault.cause == Cause::crossed_pairs);
        CHECK(reversed.first().fault.cause == Cause::crossed_pairs);
        CHECK(!(straight.first().fault.variant == reversed.first().fault.variant));
    }
}

TEST_CASE("A channel beyond its range names its cell") {
    const scale::Description d = oracle::per_cell_scale(6);
    const scale::Fault crossed =
        wire_fault(Cause::crossed_pairs, 4, Wire::excitation_plus, 0.0, Wire::signal_plus);
    field::SheetPlan plan = oracle::weights_alone();
    plan.channels = true;
    const Ranking r = rank(d, oracle::exact_sheet(d, crossed, plan).sheet());
    CAPTURE(r.leaders());
    double elsewhere = 0.0;
    for (const diagnosis::Candidate& c : r.candidates) {
        if (c.fault.site.kind == scale::SiteKind::cell && c.fault.site.index != 4) elsewhere += c.probability;
    }
    CHECK(r.first().fault.site.index == 4);
    CHECK(r.probability(fault_at(Cause::crossed_pairs, 4)) > 0.3);
    CHECK(elsewhere < 0.01);
}
