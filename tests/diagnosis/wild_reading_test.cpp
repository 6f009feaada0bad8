#include <catch2/catch.hpp>

#include <cmath>

#include "sim/field/fault_draw.h"
#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/ranking.h"

// One value of a sheet mistyped, misread or taken at the wrong place: it must be named, and must not take the
// cause along. And deviations that nothing on the list explains must not be forced upon a cause.

using namespace cornerbench;
using diagnosis::Quantity;
using diagnosis::Reading;
using oracle::rank;
using oracle::rank_with_pairs;
using oracle::Ranking;
using scale::Cause;

namespace {

/// The blunders of a long day, as a technician makes them.
void spoil(const scale::Description& d, field::RandomSource& random, Reading& r) {
    switch (r.quantity) {
        case Quantity::weight:
            // A figure wrong: tens to hundreds of divisions, either way.
            r.value +=
                (random.index(2) == 0 ? -1.0 : 1.0) * d.division_kg * std::round(random.between(40.0, 400.0));
            break;
        case Quantity::resistance:
            // Read between two other wires, or in another range.
            r.value *= random.index(2) == 0 ? random.between(1.5, 3.0) : random.between(0.2, 0.6);
            if (r.between_b == scale::Wire::shield) r.value *= 1.0e-3;
            break;
        case Quantity::excitation:
            r.value *= random.between(0.6, 0.9);
            break;
        default:
            // Of another cell, or with another sign.
            r.value = -random.between(0.3, 0.9) * r.value;
            break;
    }
}

struct Score {
    int all = 0;
    int named = 0;
    int cause_first = 0;
    int falsely_named = 0;
    std::string misses;
};

/// Noisy full sheets of clear faults with one value spoilt.
Score spoilt_sheets(const scale::Description& d, std::uint64_t first_seed, int count) {
    const scale::Fault faults[] = {
        oracle::fault_at(Cause::healthy),
        oracle::fault_at(Cause::weak_output, 1, 0.8),
        oracle::wire_fault(Cause::open_wire, 2, scale::Wire::signal_plus),
        oracle::fault_at(Cause::signal_pair_swapped, 0),
        oracle::fault_at(Cause::shifted_zero, 3, 3.0e-4),
        oracle::fault_at(Cause::bound_support, 2, 0.3),
        oracle::wire_fault(Cause::loose_terminal, 1, scale::Wire::excitation_plus, 60.0),
    };
    Score score;
    for (int i = 0; i < count; ++i) {
        const std::uint64_t seed = first_seed + static_cast<std::uint64_t>(i);
        const scale::Fault& fault = faults[static_cast<unsigned>(i) % std::size(faults)];
        field::SimulatedSheet sheet = field::simulate_sheet(d, {&fault, 1}, seed);
        field::RandomSource random(seed, 77);
        int at = 0;
        do {
            at = random.index(static_cast<int>(sheet.readings.size()));
            // The one reading of the excitation has no other to contradict it.
        } while (sheet.readings[static_cast<unsigned>(at)].shown != diagnosis::Shown::value ||
                 sheet.readings[static_cast<unsigned>(at)].quantity == Quantity::excitation);
        Reading& spoilt = sheet.readings[static_cast<unsigned>(at)];
        const double before = spoilt.value;
        spoil(d, random, spoilt);
        const Ranking r = rank_with_pairs(d, sheet.sheet());
        REQUIRE(r.outcome.error == diagnosis::DiagnosisError::none);
        ++score.all;
        score.named += r.names_wild(at) ? 1 : 0;
        // A second fault that explains the blunder must not come first.
        const bool first = r.leads(fault) && r.pairs_probability() < 0.5;
        score.cause_first += first ? 1 : 0;
        score.falsely_named += r.outcome.wild_count > (r.names_wild(at) ? 1 : 0) ? 1 : 0;
        if (r.names_wild(at) && first) continue;
        score.misses += "\nseed " + std::to_string(seed) + ", " + scale::name_of(fault.cause) + ", reading " +
                        std::to_string(at) + " of kind " + std::to_string(static_cast<int>(spoilt.quantity)) +
                        " from " + std::to_string(before) + " to " + std::to_string(spoilt.value) +
                        (r.names_wild(at) ? ": " : ", not named: ") + r.leaders(3);
    }
    return score;
}

/// On the first of the bench's scales, and on one in `every` of the others.
void spoil_scales(std::size_t every) {
    const std::vector<oracle::NamedScale> scales = oracle::bench_scales();
    Score total;
    for (std::size_t i = 0; i < scales.size(); i += every) {
        const Score score = spoilt_sheets(scales[i].description, 1000 + 100 * i, 14);
        CAPTURE(scales[i].name, score.named, score.cause_first, score.falsely_named, score.all, score.misses);
        CHECK(score.named >= 0.8 * score.all);
        total.misses += score.misses;
        total.all += score.all;
        total.named += score.named;
        total.cause_first += score.cause_first;
        total.falsely_named += score.falsely_named;
    }
    CAPTURE(total.named, total.cause_first, total.falsely_named, total.all, total.misses);
    CHECK(total.named >= 0.9 * total.all);
    CHECK(total.cause_first >= 0.9 * total.all);
    CHECK(total.falsely_named <= 0.1 * total.all);
}

}  // namespace

TEST_CASE("A wild value among good ones is named, and the cause keeps its place", "[long]") {
    const Score score = spoilt_sheets(oracle::trimmed_scale(4), 1, 14);
    CAPTURE(score.misses);
    CHECK(score.named >= 0.9 * score.all);
    CHECK(score.cause_first >= 0.9 * score.all);
    CHECK(score.falsely_named <= 0.1 * score.all);
}

TEST_CASE("Wild values on scales of several makes are named", "[campaign]") {
    spoil_scales(3);
}

TEST_CASE("Wild values on scales of every make are named", "[night]") {
    spoil_scales(1);
}

TEST_CASE("An honest sheet has no wild value") {
    const scale::Description d = oracle::trimmed_scale(4);
    int named = 0;
    int all = 0;
    for (std::uint64_t seed = 300; seed < 312; ++seed) {
        const scale::Fault fault =
            seed % 2 == 0 ? oracle::fault_at(Cause::healthy) : oracle::fault_at(Cause::weak_output, 2, 0.9);
        named += rank(d, field::simulate_sheet(d, {&fault, 1}, seed).sheet()).outcome.wild_count;
        ++all;
    }
    CHECK(named <= 0.1 * all);
}

TEST_CASE("Where many readings are off, each for itself, none of the causes is to blame") {
    const scale::Description d = oracle::trimmed_scale(4);
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        const scale::Fault healthy;
        field::SimulatedSheet sheet = field::simulate_sheet(d, {&healthy, 1}, seed);
        field::RandomSource random(seed, 78);
        for (Reading& r : sheet.readings) {
            if (random.index(3) == 0) spoil(d, random, r);
        }
        const Ranking r = rank(d, sheet.sheet());
        CAPTURE(seed, r.leaders());
        CHECK(r.first().fault.cause == Cause::unlisted);
        CHECK(r.probability(Cause::unlisted) > 0.9);
    }
}

TEST_CASE("A wild value's departure is told in standard uncertainties") {
    const scale::Description d = oracle::trimmed_scale(4);
    const scale::Fault healthy;
    field::SimulatedSheet sheet = oracle::exact_sheet(d, healthy);
    for (std::size_t i = 2; i < sheet.readings.size(); i += 3) {
        if (sheet.readings[i].quantity != Quantity::weight) continue;
        // Fifty divisions, where a weight given the others is good to two or three.
        sheet.readings[i].value += 1000.0;
        const Ranking r = rank(d, sheet.sheet());
        sheet.readings[i].value -= 1000.0;
        CAPTURE(i, r.leaders());
        REQUIRE(r.outcome.wild_count == 1);
        CHECK(r.outcome.wild[0].reading == static_cast<int>(i));
        CHECK(r.outcome.wild[0].standard_uncertainties > 10.0);
        CHECK(r.outcome.wild[0].probability > 0.99);
        CHECK(r.leads(healthy));
    }
}
