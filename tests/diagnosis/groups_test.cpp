#include <catch2/catch.hpp>

#include <cmath>

#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/diagnosis_bench.h"
#include "tests/diagnosis/forward_chain.h"
#include "tests/diagnosis/ranking.h"
#include "tests/diagnosis/sheets.h"

// What readings cannot tell apart must be said in one breath, and what they can must not. The reasons are
// physics, spelled out beside each case.

using namespace cornerbench;
using diagnosis::Zeroed;
using oracle::fault_at;
using oracle::rank;
using oracle::Ranking;
using scale::Cause;

TEST_CASE("Signal pair exchanged or excitation pair exchanged: the same bridge turned round", "[long]") {
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        const scale::Description& d = named.description;
        const int cell = d.cell_count() - 1;
        const scale::Fault signal = fault_at(Cause::signal_pair_swapped, cell);
        const scale::Fault excitation = fault_at(Cause::excitation_pair_swapped, cell);
        for (const scale::Fault& truth : {signal, excitation}) {
            for (const field::SheetPlan& plan : {field::SheetPlan{}, oracle::corners_alone()}) {
                const Ranking r = rank(d, oracle::exact_sheet(d, truth, plan).sheet());
                CAPTURE(named.name, scale::name_of(truth.cause), r.leaders());
                CHECK(r.same_group(signal, excitation));
                CHECK(r.leads(truth));
                CHECK(r.group_probability(truth) > 0.95);
            }
        }
    }
}

TEST_CASE("A cell mounted against its arrow is told from an exchange by the indicator's zero alone") {
    // An exchange moves the indicator's zero by twice the lifted empty signal; an upside-down cell misses
    // that by twice its own zero balance. A zero set since then tells nothing.
    const scale::Description d = oracle::trimmed_scale(4);
    constexpr int cell = 2;
    const scale::Fault upside = fault_at(Cause::upside_down, cell);
    const scale::Fault exchange = fault_at(Cause::signal_pair_swapped, cell);
    for (const double balance : {1.0e-2, -0.9e-2}) {
        for (const scale::Fault& truth : {upside, exchange}) {
            for (const Zeroed zeroed : {Zeroed::before, Zeroed::now}) {
                field::SimulatedSheet sheet = oracle::exact_sheet(d, truth);
                oracle::Specimen specimen = oracle::sound_specimen(d);
                specimen.condition.cells[cell].zero_V_per_V = balance * d.cells[cell].rated_output_V_per_V;
                specimen.calibration = weighing::StillScale(d, specimen.condition).calibrate(0.5 * d.max_kg);
                const std::vector<double> values =
                    oracle::ForwardChain(d, sheet.readings, zeroed).values(specimen, truth);
                for (std::size_t i = 0; i < values.size(); ++i) {
                    const bool ohms = sheet.readings[i].quantity == diagnosis::Quantity::resistance;
                    sheet.readings[i].value = ohms ? std::exp(values[i]) : values[i];
                }
                sheet.zeroed = zeroed;
                const Ranking r = rank(d, sheet.sheet());
                CAPTURE(balance, scale::name_of(truth.cause), static_cast<int>(zeroed), r.leaders());
                CHECK(r.leads(truth));
                CHECK(r.group_probability(truth) > 0.95);
                if (zeroed == Zeroed::now) {
                    CHECK(r.same_group(upside, exchange));
                } else {
                    CHECK(!r.same_group(upside, exchange));
                    CHECK(r.probability(truth.cause == upside.cause ? exchange : upside) < 0.01);
                }
            }
        }
    }
}

TEST_CASE("A settled footing and a gap over a support are one height") {
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        const scale::Description& d = named.description;
        if (d.deck.twist_stiffness_N_m_per_rad == 0.0) continue;  // a limp deck follows its supports
        const scale::Fault settled = fault_at(Cause::settled_footing, 1, 4.0e-3);
        const scale::Fault unseated = fault_at(Cause::unseated_support, 1, 4.0e-3);
        const Ranking r = rank(d, oracle::exact_sheet(d, settled).sheet());
        CAPTURE(named.name, r.leaders());
        CHECK(r.same_group(settled, unseated));
        CHECK(r.probability(settled) == Approx(r.probability(unseated)).epsilon(0.02));
        CHECK(r.leads(settled));
    }
}

TEST_CASE("From corner weights alone: weak, loose, off its trim or on another cable look alike") {
    // Each takes the same share of every load that its corner carries, the dead load's included.
    for (const scale::Description& d : {oracle::trimmed_scale(4), oracle::trimmed_scale(8)}) {
        constexpr int cell = 1;
        const scale::Fault truth = fault_at(Cause::weak_output, cell, 0.9925);
        const Ranking r = rank(d, oracle::exact_sheet(d, truth, oracle::corners_alone()).sheet());
        CAPTURE(r.leaders(10));
        CHECK(r.leads(truth));
        for (const Cause alike : {Cause::loose_terminal, Cause::trim_off, Cause::altered_cable}) {
            CAPTURE(scale::name_of(alike));
            CHECK(r.same_group(truth, fault_at(alike, cell)));
        }
        CHECK(!r.same_group(truth, fault_at(Cause::weak_output, 0)));
    }
}

TEST_CASE("A low excitation leaves every weight where it was", "[long]") {
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        const scale::Description& d = named.description;
        oracle::DiagnosisBench bench(d, oracle::weighing_sheet(d, 8000.0));
        REQUIRE(bench.prepare());
        REQUIRE(bench.predictor.set({}));
        std::vector<double> sound;
        for (int i = 0; i < bench.rows.measured; ++i) {
            sound.push_back(bench.predictor.mean(bench.rows.row[static_cast<unsigned>(i)]));
        }
        REQUIRE(bench.predictor.set(fault_at(Cause::excitation_low, 0, 0.5 * d.excitation_V)));
        for (int i = 0; i < bench.rows.measured; ++i) {
            CHECK(bench.predictor.mean(bench.rows.row[static_cast<unsigned>(i)]) ==
                  Approx(sound[static_cast<unsigned>(i)]).margin(1.0e-6));
        }
        // So weights alone neither accuse nor clear it, while it leaves the converter a reference: a
        // twentieth of the rated supply, out of its range up to 0.97 of it.
        const Ranking r = rank(d, oracle::exact_sheet(d, {}, oracle::corners_alone()).sheet());
        const diagnosis::Priors priors = diagnosis::default_priors(d);
        const auto prior = [&](Cause cause) { return priors[static_cast<unsigned>(scale::index_of(cause))]; };
        const double referenced = (0.97 - 0.05) / 0.97;
        CHECK(r.probability(Cause::excitation_low) / r.probability(Cause::healthy) ==
              Approx(referenced * prior(Cause::excitation_low) / prior(Cause::healthy)).epsilon(0.01));
    }
}

TEST_CASE("One sense wire open is not taken for a supply that just fails to lose the reference") {
    scale::Description d = oracle::shunt_scale(6);
    d.home_run_wires = 6;
    d.home_run_m = 60.0;
    scale::Fault open{Cause::sense_open, {}, {}, {}};
    open.variant.home_wire = scale::HomeWire::sense_plus;
    const Ranking r = rank(d, oracle::exact_sheet(d, open, oracle::corners_alone()).sheet());
    CHECK(r.probability(Cause::sense_open) > 0.9);
    CHECK(r.probability(Cause::excitation_low) < 0.01);
    CHECK(r.probability(Cause::home_run_loose) < 0.01);
}

TEST_CASE("Two like cells in each other's place show in weights only through their trims") {
    scale::Description equal = oracle::trimmed_scale(8);
    equal.deck.twist_stiffness_N_m_per_rad = 0.0;  // all of a weight over a corner is that corner's
    const scale::Fault swapped{Cause::swapped_cells, {scale::SiteKind::cell_pair, 1, 6}, {}, {}};
    const auto farthest = [&](const scale::Description& d) {
        oracle::DiagnosisBench bench(d, oracle::weighing_sheet(d, 8000.0));
        REQUIRE(bench.prepare());
        double most = 0.0;
        for (int i = 0; i < bench.rows.measured; ++i) {
            const diagnosis::Row& row = bench.rows.row[static_cast<unsigned>(i)];
            REQUIRE(bench.predictor.set({}));
            const double sound = bench.predictor.mean(row);
            REQUIRE(bench.predictor.set(swapped));
            most = std::max(most, std::fabs(bench.predictor.mean(row) - sound));
        }
        return most;
    };
    // Landed on each other's terminals a corner still carries its own cell: nothing moves at all.
    CHECK(farthest(equal) < 1.0e-6);
    // Two turns of 0.8 ohm apart against 390 ohm: each corner is off by 0.4 % of the 8 t over it.
    scale::Description apart = equal;
    apart.cells[1].trim_at = 11.0;
    apart.cells[6].trim_at = 9.0;
    CHECK(farthest(apart) == Approx(0.0041 * 8000.0).epsilon(0.1));
}

TEST_CASE("Corners that were trimmed equal are foretold equal, wherever their trims stand", "[long]") {
    // A trim that stands apart stands so because its cell is apart.
    for (scale::Description d : {oracle::trimmed_scale(6), oracle::shunt_scale(6), oracle::pound_scale(6)}) {
        d.cells[0].trim_at *= 1.3;
        d.cells[4].trim_at *= 0.6;
        oracle::DiagnosisBench bench(d, oracle::corner_sheet(d, 8000.0));
        REQUIRE(bench.prepare());
        REQUIRE(bench.predictor.set({}));
        for (int i = 0; i < bench.rows.measured; ++i) {
            CHECK(bench.predictor.mean(bench.rows.row[static_cast<unsigned>(i)]) ==
                  Approx(8000.0).margin(0.5));
        }
        // Untrimmed, nobody made them equal.
        oracle::DiagnosisBench fresh(d, oracle::corner_sheet(d, 8000.0), diagnosis::History::unadjusted);
        REQUIRE(fresh.prepare());
        REQUIRE(fresh.predictor.set({}));
        CHECK(std::fabs(fresh.predictor.mean(fresh.rows.row[0]) - 8000.0) > 2.0);
    }
}
