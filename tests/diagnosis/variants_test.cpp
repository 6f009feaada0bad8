#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <vector>

#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/ranking.h"
#include "tests/diagnosis/sheets.h"

// Which wire or arm of one cause and place: their shares are Bayes' rule over variants with the priors of
// scale::variant_prior.

using namespace cornerbench;
using oracle::rank;
using oracle::Ranking;
using oracle::wire_fault;
using scale::Cause;
using scale::Wire;

namespace {

double share_of(const scale::Description& d, const diagnosis::Candidate& c, Wire wire) {
    for (int v = 0; v < scale::variant_count(d, c.fault.cause); ++v) {
        const scale::Variant variant = scale::variant_at(d, c.fault.cause, v);
        if (variant.a == wire && !variant.whole_cable) {
            return c.variants[static_cast<std::size_t>(v)].share;
        }
    }
    return -1.0;
}

diagnosis::Reading endless(int cell, Wire a, Wire b) {
    diagnosis::Reading r = oracle::ohms_of(cell, a, b);
    r.value = std::numeric_limits<double>::infinity();
    return r;
}

}  // namespace

TEST_CASE("Variants share their cause's probability") {
    const scale::Description d = oracle::trimmed_scale(4);
    const scale::Fault truth = wire_fault(Cause::loose_terminal, 1, Wire::signal_plus, 30.0);
    const Ranking r = rank(d, field::simulate_sheet(d, {&truth, 1}, 5).sheet());
    for (const diagnosis::Candidate& c : r.candidates) {
        if (c.fault.cause == Cause::unlisted) continue;
        double sum = 0.0;
        for (const diagnosis::VariantShare& v : c.variants) sum += v.share;
        CAPTURE(scale::name_of(c.fault.cause), c.fault.site.index);
        CHECK(sum == Approx(1.0).epsilon(1.0e-9));
    }
}

TEST_CASE("A pair that measures endless leaves its two wires even, other pairs decide") {
    // An open conductor makes every pair with it endless and no other (closed form: series resistance), a
    // cable that is off all pairs. By Bayes' rule what is possible keeps its ratio.
    const scale::Description d = oracle::trimmed_scale(4);
    const scale::Fault truth = wire_fault(Cause::open_wire, 1, Wire::excitation_minus);
    std::vector<diagnosis::Reading> ohms{endless(1, Wire::excitation_plus, Wire::excitation_minus)};
    const Ranking even = rank(d, ohms);
    const diagnosis::Candidate* open = even.find(truth);
    REQUIRE(open != nullptr);
    const double whole = scale::variant_prior(d, Cause::open_wire, scale::live_wire_count);
    const double single = scale::variant_prior(d, Cause::open_wire, 0);
    CHECK(whole + scale::live_wire_count * single == Approx(1.0));
    const double possible = whole + 2.0 * single;
    CHECK(share_of(d, *open, Wire::excitation_plus) == Approx(single / possible).margin(0.01));
    CHECK(share_of(d, *open, Wire::excitation_minus) == Approx(single / possible).margin(0.01));
    CHECK(open->variants[scale::live_wire_count].share == Approx(whole / possible).margin(0.01));

    std::vector<diagnosis::Reading> more = ohms;
    more.push_back(endless(1, Wire::excitation_minus, Wire::signal_plus));
    more.push_back(oracle::ohms_of(1, Wire::excitation_plus, Wire::signal_plus));
    more.back().value = 283.0;
    const Ranking told = rank(d, more);
    open = told.find(truth);
    REQUIRE(open != nullptr);
    CHECK(share_of(d, *open, Wire::excitation_minus) > 0.99);
    CHECK(open->fault.variant.a == Wire::excitation_minus);

    for (const Wire a : {Wire::excitation_plus, Wire::excitation_minus}) {
        for (const Wire b : {Wire::signal_plus, Wire::signal_minus}) ohms.push_back(endless(1, a, b));
    }
    ohms.push_back(endless(1, Wire::signal_plus, Wire::signal_minus));
    const Ranking off = rank(d, ohms);
    CAPTURE(off.leaders());
    open = off.find(truth);
    REQUIRE(open != nullptr);
    CHECK(off.leads(truth));
    CHECK(open->probability > 0.99);
    CHECK(open->fault.variant.whole_cable);
    CHECK(open->variants[scale::live_wire_count].share > 0.99);
}

TEST_CASE("A reading without a value is set beside what sound scale and fault predict") {
    const scale::Description d = oracle::trimmed_scale(4);
    const scale::Fault open = wire_fault(Cause::open_wire, 1, Wire::excitation_minus);
    const std::vector<diagnosis::Reading> readings{endless(1, Wire::excitation_plus, Wire::excitation_minus),
                                                   oracle::look_at(diagnosis::Look::load_arrow, 2, false)};
    diagnosis::Sheet sheet;
    sheet.readings = readings;
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    std::vector<diagnosis::Seen> healthy(2);
    std::vector<diagnosis::Seen> with(2);
    REQUIRE(diagnosis::compare_seen(d, sheet, {}, {}, memory, healthy) == 2);
    REQUIRE(diagnosis::compare_seen(d, sheet, open, {}, memory, with) == 2);
    CHECK(healthy[0].probability < 1.0e-3);
    CHECK(with[0].probability > 0.99);
    CHECK(std::exp(healthy[0].predicted) == Approx(d.cells[1].input_ohm).epsilon(0.02));
    CHECK(with[1].probability == Approx(healthy[1].probability));

    const diagnosis::WildReading aside[] = {{0, 1.0, 10.0}};
    CHECK(diagnosis::compare_seen(d, sheet, open, aside, memory, with) == 1);
    CHECK(with[0].reading == 1);
}

TEST_CASE("A millivoltmeter beyond its range says that excitation stands on the signal wires") {
    const scale::Description d = oracle::trimmed_scale(4);
    diagnosis::Reading over = oracle::look_at(diagnosis::Look::load_arrow, 1, true);
    over.quantity = diagnosis::Quantity::signal;
    over.shown = diagnosis::Shown::over_range;
    const Ranking r = rank(d, std::vector{over});
    CAPTURE(r.leaders());
    const double explained = r.probability(Cause::crossed_pairs) + r.probability(Cause::shorted_wires) +
                             r.probability(Cause::wet_leak) + r.probability(Cause::open_wire) +
                             r.probability(Cause::damaged_arm);
    CHECK(explained > 0.95);
    CHECK(r.probability(Cause::healthy) < 1.0e-3);
}
