#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>

#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/ranking.h"
#include "tests/diagnosis/sheets.h"

// What must hold of every diagnosis, whatever the readings: the laws of probability, and of memory.

using namespace cornerbench;
using oracle::fault_at;
using oracle::rank;
using oracle::Ranking;
using scale::Cause;

namespace {

double prior_of(const scale::Description& d, Cause cause) {
    return diagnosis::default_priors(d)[static_cast<unsigned>(scale::index_of(cause))];
}

}  // namespace

TEST_CASE("Without readings every cause keeps its prior") {
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        const scale::Description& d = named.description;
        const Ranking r = rank(d, std::vector<diagnosis::Reading>{});
        REQUIRE(r.outcome.error == diagnosis::DiagnosisError::none);
        CHECK(r.outcome.measured == 0);
        CHECK(r.outcome.wild_count == 0);
        CHECK(r.outcome.log_evidence == Approx(0.0).margin(1.0e-12));
        double sum = 0.0;
        for (int i = 0; i < scale::cause_count; ++i) {
            const auto cause = static_cast<Cause>(i);
            CHECK(r.probability(cause) == Approx(prior_of(d, cause)).margin(1.0e-13));
            if (!scale::possible(d, cause)) CHECK(prior_of(d, cause) == 0.0);
            sum += prior_of(d, cause);
        }
        CHECK(sum == Approx(1.0).margin(1.0e-13));
        CHECK(prior_of(d, Cause::healthy) == 0.15);
        for (const diagnosis::Candidate& c : r.candidates) {
            CHECK(c.probability == Approx(c.prior).margin(1.0e-14));
        }
    }
}

TEST_CASE("Every cause at every place is a candidate, once") {
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        const scale::Description& d = named.description;
        const Ranking r = rank(d, std::vector<diagnosis::Reading>{});
        int expected = 0;
        for (int i = 0; i < scale::cause_count; ++i) {
            const auto cause = static_cast<Cause>(i);
            if (!scale::possible(d, cause)) continue;
            for (int s = 0; s < scale::site_count(d, cause); ++s, ++expected) {
                scale::Fault fault;
                fault.cause = cause;
                fault.site = scale::site_at(d, cause, s);
                const auto is_it = [&](const diagnosis::Candidate& c) {
                    return oracle::same_cause_and_place(c.fault, fault);
                };
                CHECK(std::count_if(r.candidates.begin(), r.candidates.end(), is_it) == 1);
            }
        }
        CHECK(static_cast<int>(r.candidates.size()) == expected);
        CHECK(diagnosis::candidate_count(d) == expected);
    }
}

TEST_CASE("Probabilities sum to one and come most probable first, whatever the sheet") {
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        const scale::Description& d = named.description;
        for (const scale::Fault& fault : {fault_at(Cause::healthy), fault_at(Cause::upside_down, 2)}) {
            const Ranking r = rank(d, oracle::exact_sheet(d, fault, oracle::weights_alone()).sheet());
            REQUIRE(r.outcome.error == diagnosis::DiagnosisError::none);
            CHECK(r.sum() == Approx(1.0).margin(1.0e-9));
            for (std::size_t i = 1; i < r.candidates.size(); ++i) {
                CHECK(r.candidates[i].probability <= r.candidates[i - 1].probability);
                CHECK(r.candidates[i].probability >= 0.0);
            }
        }
    }
}

TEST_CASE("A cause ruled out beforehand stays out, and a certain one stays certain") {
    const scale::Description d = oracle::trimmed_scale(4);
    const field::SimulatedSheet sheet = oracle::exact_sheet(d, fault_at(Cause::weak_output, 3, 0.7));
    diagnosis::Priors priors = diagnosis::default_priors(d);
    priors[static_cast<unsigned>(scale::index_of(Cause::weak_output))] = 0.0;
    const Ranking without = rank(d, sheet.sheet(), priors);
    CHECK(without.probability(Cause::weak_output) == 0.0);
    CHECK(without.sum() == Approx(1.0).margin(1.0e-9));

    diagnosis::Priors certain{};
    certain[static_cast<unsigned>(scale::index_of(Cause::healthy))] = 1.0;
    CHECK(rank(d, sheet.sheet(), certain).probability(Cause::healthy) == Approx(1.0).margin(1.0e-12));
}

TEST_CASE("One reading is enough to ask, and moves what it should") {
    const scale::Description d = oracle::trimmed_scale(8);
    diagnosis::Reading empty = oracle::weight_under({});
    const Ranking at_zero = rank(d, std::vector{empty});
    CHECK(at_zero.sum() == Approx(1.0).margin(1.0e-9));
    CHECK(at_zero.outcome.measured == 1);
    // Zero reads zero: a shifted zero has become less likely, and nothing is near certain.
    CHECK(at_zero.probability(Cause::shifted_zero) < 0.5 * prior_of(d, Cause::shifted_zero));
    CHECK(at_zero.first().probability < 0.6);

    // More than a cable that is off does to an empty deck: a corner carries a twelfth of the 14.4 t, so the
    // other seven cells show 8/7 (1 - 1/12) of it, 5 % too much.
    empty.value = 1800.0;
    const Ranking off = rank(d, std::vector{empty});
    CAPTURE(off.leaders());
    CHECK(off.probability(Cause::healthy) < 1.0e-6);
    CHECK(off.probability(Cause::shifted_zero) > 2.0 * prior_of(d, Cause::shifted_zero));
}

TEST_CASE("The order of readings that do not hang together does not matter") {
    const scale::Description d = oracle::trimmed_scale(4);
    const scale::Fault fault = oracle::wire_fault(Cause::loose_terminal, 2, scale::Wire::signal_plus, 25.0);
    field::SheetPlan plan;
    plan.returned = false;
    field::SimulatedSheet sheet = field::simulate_sheet(d, {&fault, 1}, 4, plan);
    const Ranking given = rank(d, sheet.sheet());
    std::mt19937 random(11);
    for (int round = 0; round < 3; ++round) {
        std::shuffle(sheet.readings.begin(), sheet.readings.end(), random);
        const Ranking shuffled = rank(d, sheet.sheet());
        REQUIRE(shuffled.candidates.size() == given.candidates.size());
        for (const diagnosis::Candidate& c : given.candidates) {
            // Contacts alone remember the way of the loads.
            if (c.fault.cause == Cause::rubbing) continue;
            CAPTURE(scale::name_of(c.fault.cause), c.fault.site.index);
            CHECK(shuffled.probability(c.fault) == Approx(c.probability).margin(2.0e-3));
        }
    }
}

TEST_CASE("A reading so uncertain that it says nothing changes nothing, once or twice") {
    const scale::Description d = oracle::trimmed_scale(4);
    const scale::Fault fault = fault_at(Cause::weak_output, 2, 0.99);
    field::SimulatedSheet sheet = field::simulate_sheet(d, {&fault, 1}, 9);
    const Ranking before = rank(d, sheet.sheet());
    diagnosis::Reading vague = oracle::excitation_at(diagnosis::ExcitationPlace::indicator);
    vague.value = d.excitation_V;
    vague.uncertainty = 1.0e6;
    for (int copies = 1; copies <= 2; ++copies) {
        sheet.readings.push_back(vague);
        const Ranking after = rank(d, sheet.sheet());
        for (const diagnosis::Candidate& c : before.candidates) {
            CAPTURE(scale::name_of(c.fault.cause), c.fault.site.index, copies);
            CHECK(after.probability(c.fault) == Approx(c.probability).margin(1.0e-4));
        }
    }
}

TEST_CASE("Kilograms or pounds, the same scale gets the same answer") {
    const scale::Description in_kg = oracle::trimmed_scale(6);
    scale::Description in_lb = in_kg;
    in_lb.unit = scale::MassUnit::pound;
    const scale::Fault fault = fault_at(Cause::bound_support, 4, 0.1);
    const field::SimulatedSheet sheet = oracle::exact_sheet(in_kg, fault);
    const Ranking kg = rank(in_kg, sheet.sheet());
    const Ranking lb = rank(in_lb, sheet.sheet());
    CHECK(kg.leads(fault));
    for (const diagnosis::Candidate& c : kg.candidates) CHECK(lb.probability(c.fault) == c.probability);
}

TEST_CASE("Too little memory is an error, and nothing beside it is touched") {
    const scale::Description d = oracle::trimmed_scale(4);
    const field::SimulatedSheet sheet =
        oracle::exact_sheet(d, fault_at(Cause::healthy), oracle::corners_alone());
    const diagnosis::Priors priors = diagnosis::default_priors(d);
    const std::size_t needed = diagnosis::diagnosis_doubles(d, sheet.sheet());
    const auto count = static_cast<std::size_t>(diagnosis::candidate_count(d));
    constexpr double guard = -7.25e77;
    constexpr std::size_t guards = 4096;
    std::vector<diagnosis::Candidate> candidates(count);

    std::size_t enough = 0;
    std::vector<std::size_t> sizes{0, 1, 100};
    for (std::size_t part = 1; part <= 24; ++part) sizes.push_back(needed * part / 24);
    for (const std::size_t size : sizes) {
        std::vector<double> memory(size + 2 * guards, guard);
        const diagnosis::Outcome o = diagnosis::diagnose(d, sheet.sheet(), priors,
                                                         std::span(memory).subspan(guards, size), candidates);
        if (o.error == diagnosis::DiagnosisError::none) {
            enough = std::max(enough, size);
        } else {
            CHECK(o.error == diagnosis::DiagnosisError::memory);
            CHECK(size < needed);
        }
        const auto untouched = [&](std::size_t from) {
            return std::all_of(memory.begin() + static_cast<std::ptrdiff_t>(from),
                               memory.begin() + static_cast<std::ptrdiff_t>(from + guards),
                               [](double x) { return x == guard; });
        };
        CHECK(untouched(0));
        CHECK(untouched(size + guards));
    }
    CHECK(enough == needed);

    std::vector<double> memory(needed);
    CHECK(
        diagnosis::diagnose(d, sheet.sheet(), priors, memory, std::span(candidates).first(count - 1)).error ==
        diagnosis::DiagnosisError::memory);
}

TEST_CASE("A sheet of more readings than fit is an error of its own") {
    const scale::Description d = oracle::trimmed_scale(4);
    const diagnosis::Priors priors = diagnosis::default_priors(d);
    std::vector<diagnosis::Reading> many(diagnosis::max_readings + 1,
                                         oracle::look_at(diagnosis::Look::trim, 1, true));
    std::vector<double> memory(3000000);
    std::vector<diagnosis::Candidate> candidates(static_cast<std::size_t>(diagnosis::candidate_count(d)));
    CHECK(diagnosis::diagnose(d, {many, {}, {}, {}}, priors, memory, candidates).error ==
          diagnosis::DiagnosisError::too_many);
    many.pop_back();
    CHECK(diagnosis::diagnose(d, {many, {}, {}, {}}, priors, memory, candidates).error ==
          diagnosis::DiagnosisError::none);
}

TEST_CASE("Values that are no measurement end in an answer or an error, never in nonsense") {
    const scale::Description d = oracle::trimmed_scale(4);
    const field::SimulatedSheet sheet = oracle::exact_sheet(d, fault_at(Cause::healthy));
    const double infinity = std::numeric_limits<double>::infinity();
    const double values[] = {
        std::numeric_limits<double>::quiet_NaN(), infinity, -infinity, 1.0e300, 0.0, -5.0};
    std::size_t next = 0;
    for (std::size_t i = 0; i < sheet.readings.size(); i += 3) {
        std::vector<diagnosis::Reading> readings = sheet.readings;
        readings[i].value = values[next++ % std::size(values)];
        const Ranking r = rank(d, readings);
        CAPTURE(readings[i].value, i);
        CHECK(r.outcome.error == diagnosis::DiagnosisError::none);
        if (r.outcome.error == diagnosis::DiagnosisError::none) CHECK(r.sum() == Approx(1.0).margin(1.0e-6));
    }
}
