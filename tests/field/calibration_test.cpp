#include <array>
#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "sim/field/diagnosed_sheet.h"
#include "sim/field/fault_draw.h"
#include "sim/field/simulated_sheet.h"
#include "sim/field/trial.h"
#include "sim/files/scale_file.h"

// Complaints are drawn by the priors with which they are diagnosed; then of all statements of probability p,
// p come true, whatever the readings tell (S. Talts et al., "Validating Bayesian inference algorithms with
// simulation-based calibration", 2018). How many come true by chance is the Poisson binomial distribution,
// added up exactly. Statements on one sheet exclude each other, which only makes it narrower.

using namespace cornerbench;

namespace {

constexpr int sheets = 150;
constexpr std::uint64_t own_stream = 41;

struct Claims {
    std::vector<double> stated;
    int came_true = 0;

    void add(double probability, bool is_true) {
        stated.push_back(probability);
        came_true += is_true ? 1 : 0;
    }
    double expected() const {
        double sum = 0.0;
        for (const double p : stated) sum += p;
        return sum;
    }
    /// Probability of each number of true ones.
    std::vector<double> distribution() const {
        std::vector<double> of(stated.size() + 1, 0.0);
        of[0] = 1.0;
        std::size_t most = 0;
        for (const double p : stated) {
            ++most;
            for (std::size_t k = most; k > 0; --k) of[k] = of[k] * (1.0 - p) + of[k - 1] * p;
            of[0] *= 1.0 - p;
        }
        return of;
    }
    /// False outside the inner 99.9 %.
    bool plausible() const {
        double at_most = 0.0;
        double at_least = 0.0;
        const std::vector<double> of = distribution();
        for (std::size_t k = 0; k < of.size(); ++k) {
            if (k <= static_cast<std::size_t>(came_true)) at_most += of[k];
            if (k >= static_cast<std::size_t>(came_true)) at_least += of[k];
        }
        return at_most > 0.0005 && at_least > 0.0005;
    }
};

}  // namespace

TEST_CASE("stated probabilities come true as often as they say", "[field][campaign]") {
    const auto loaded =
        files::load_scale(std::string(CORNERBENCH_SOURCE_DIR) + "/configs/scales/sawmill-4.toml");
    REQUIRE(loaded);
    const scale::Description& d = loaded.value->description;
    const diagnosis::Priors priors = diagnosis::default_priors(d);
    diagnosis::Priors drawn = priors;
    // What is on no list cannot be simulated from one.
    drawn[static_cast<unsigned>(scale::index_of(scale::Cause::unlisted))] = 0.0;

    std::array<Claims, field::reliability_bins> bands;
    Claims first;
    Claims all_in_order;  // on sheets where a fault came first: a false alarm when it comes true
    for (std::uint64_t seed = 1; seed <= sheets; ++seed) {
        field::RandomSource random(seed, own_stream);
        const scale::Fault truth = field::draw_fault(d, drawn, random);
        const field::SimulatedSheet sheet = field::simulate_sheet(d, {&truth, 1}, seed);
        const auto ranked = field::rank_causes(d, sheet.sheet(), priors).candidates;
        REQUIRE_FALSE(ranked.empty());
        const bool alarm = ranked.front().fault.cause != scale::Cause::healthy;
        first.add(ranked.front().probability, field::same_cause_and_place(ranked.front().fault, truth));
        for (const diagnosis::Candidate& candidate : ranked) {
            const bool is_true = field::same_cause_and_place(candidate.fault, truth);
            const auto band = static_cast<std::size_t>(candidate.probability * field::reliability_bins);
            bands[std::min(band, bands.size() - 1)].add(candidate.probability, is_true);
            if (alarm && candidate.fault.cause == scale::Cause::healthy) {
                all_in_order.add(candidate.probability, is_true);
            }
        }
    }
    for (std::size_t band = 0; band < bands.size(); ++band) {
        CAPTURE(band, bands[band].stated.size(), bands[band].expected(), bands[band].came_true);
        CHECK(bands[band].plausible());
    }
    CAPTURE(first.expected(), first.came_true);
    CHECK(first.plausible());
    CAPTURE(all_in_order.stated.size(), all_in_order.expected(), all_in_order.came_true);
    CHECK(all_in_order.stated.size() > sheets / 2);
    CHECK(all_in_order.plausible());
}
