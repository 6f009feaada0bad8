#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <vector>

#include "firmware/diagnosis/candidates.h"
#include "sim/field/fault_draw.h"
#include "sim/field/simulated_sheet.h"
#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/diagnosis_bench.h"

// What the first look at a cause leaves open against what the second one finds: on sheets as they come from
// the field, of a sound scale and of faults drawn at random.

using namespace cornerbench;
using diagnosis::Candidate;
using diagnosis::Evidence;
using oracle::DiagnosisBench;

namespace {

constexpr double everything = -1.0e12;
/// A share of the leading cause's weight that a diagnosis takes for nothing.
constexpr double slight_share = 2.0e-3;

struct Tally {
    int let_be = 0;
    int asked = 0;
    double sum = 0.0;  ///< shares of the leading weight that were let be
};

struct Looked {
    Evidence first;
    Evidence second;
    double log_prior = 0.0;
};

void compare(const scale::Description& d, const scale::Fault& fault, std::uint64_t seed, Tally& tally) {
    const field::SimulatedSheet sheet = field::simulate_sheet(d, {&fault, 1}, seed);
    DiagnosisBench bench(d, sheet.readings, sheet.history, sheet.zeroed);
    REQUIRE(bench.prepare());
    std::vector<Candidate> candidates(static_cast<std::size_t>(diagnosis::candidate_count(d)));
    diagnosis::list_candidates(d, diagnosis::default_priors(d), candidates);
    std::vector<Looked> all;
    double best = everything;
    double leader = everything;
    for (const Candidate& c : candidates) {
        if (c.fault.cause == scale::Cause::unlisted || !(c.prior > 0.0)) continue;
        Looked looked;
        looked.log_prior = std::log(c.prior);
        const bool sized = scale::magnitudes_of(d, c.fault.cause, c.fault.site).count > 0;
        scale::Fault asked = c.fault;
        asked.variant = scale::variant_at(d, asked.cause, 0);
        looked.first = bench.evidence.glance(asked, best, 300.0);
        looked.second = sized ? bench.evidence.weigh(looked.first, everything, everything) : looked.first;
        best = std::max(best, looked.first.best_log_density);
        leader = std::max(leader, looked.second.log_evidence + looked.log_prior);
        all.push_back(looked);
    }
    for (const Looked& looked : all) {
        const double to_leader = looked.log_prior - leader;
        ++tally.asked;
        if (diagnosis::log_open(looked.first) + to_leader > std::log(slight_share)) continue;
        ++tally.let_be;
        const double off = std::fabs(std::exp(looked.second.log_evidence + to_leader) -
                                     std::exp(looked.first.log_evidence + to_leader));
        INFO(scale::name_of(looked.first.best.cause)
             << " at " << looked.first.best.site.index << ": first " << looked.first.log_evidence + to_leader
             << ", second " << looked.second.log_evidence + to_leader);
        CHECK(off < 0.01);
        tally.sum += off;
    }
}

}  // namespace

TEST_CASE("What a first look lets be would have changed next to nothing", "[diagnosis][long]") {
    const auto named =
        GENERATE(values<oracle::NamedScale>({{"four cells, trimmed", oracle::trimmed_scale(4)},
                                             {"eight cells, trimmed", oracle::trimmed_scale(8)}}));
    const scale::Description& d = named.description;
    Tally tally;
    constexpr std::uint64_t sheets = 6;
    for (std::uint64_t seed = 1; seed <= sheets; ++seed) {
        field::RandomSource random(seed, 91);
        const scale::Fault fault =
            seed % 2 == 0 ? scale::Fault{} : field::draw_fault(d, diagnosis::default_priors(d), random);
        compare(d, fault, seed, tally);
    }
    CAPTURE(named.name, tally.let_be, tally.asked, tally.sum);
    // Else the first look would spare nothing.
    CHECK(tally.let_be > tally.asked / 2);
    CHECK(tally.sum < 0.01 * static_cast<double>(sheets));
}
