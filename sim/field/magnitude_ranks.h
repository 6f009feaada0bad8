#pragma once

#include <array>
#include <functional>
#include <span>
#include <string>
#include <vector>

#include "sim/field/trial.h"

/// Are the stated magnitudes what they say? Where the true magnitude of a made-up fault stands in the
/// posterior, given cause, place and variant, is uniform over many of them if the posterior is right (S.
/// Talts, M. Betancourt, D. Simpson, A. Vehtari, A. Gelman, "Validating Bayesian inference algorithms with
/// simulation-based calibration", arXiv 1804.06788, 2018). The rank among samples is taken in the limit of
/// many: the share of the posterior below the truth.
namespace cornerbench::field {

/// Where the truth stands in the posterior of one magnitude.
struct RankedMagnitude {
    std::string name;    ///< with its unit, as scale::Magnitude has it
    double share = 0.0;  ///< of the posterior below the true magnitude

    friend bool operator==(const RankedMagnitude&, const RankedMagnitude&) = default;
};

/// One made-up fault with the ranks of its magnitudes; none where it was not answered.
struct RankCase {
    std::uint64_t seed = 0;
    scale::Cause truth = scale::Cause::weak_output;
    bool answered = false;
    std::vector<RankedMagnitude> magnitudes;

    friend bool operator==(const RankCase&, const RankCase&) = default;
};

/// Runs one part of a trial of magnitudes: causes in turn, each at a place, variant and magnitude drawn by
/// the priors. `priors` only says which causes take part: those above 0.
std::vector<RankCase> run_ranks(const scale::Description& description, const diagnosis::Priors& priors,
                                const TrialSetting& setting, const TrialShard& shard = {},
                                const std::function<void(int)>& progress = {});

inline constexpr int rank_bins = 11;

/// The shares of one magnitude of one cause.
struct RankTally {
    scale::Cause cause = scale::Cause::weak_output;
    std::string magnitude;
    std::vector<double> shares;  ///< in ascending order
    std::array<int, rank_bins> bins{};
    double mean = 0.0;
    double chi_square = 0.0;  ///< against even bins, `rank_bins` - 1 degrees of freedom
    /// Probability of a larger one if the shares are uniform; 1 while there are too few.
    double probability = 1.0;
    bool enough = false;  ///< five to each bin, the usual demand of the test
};

/// The ranks of many cases, magnitude by magnitude, and from where on they are called uneven.
struct RankTrial {
    int cases = 0;
    int failed = 0;
    std::vector<RankTally> magnitudes;
    /// A probability below this is not uniform: 1 % over all tested magnitudes together (Bonferroni).
    double least_probability = 0.0;

    bool uniform(const RankTally& tally) const { return tally.probability >= least_probability; }
};

RankTrial tally_ranks(std::span<const RankCase> cases);

/// Puts the shares in order and fills in all that follows from them.
void test_uniform(RankTally& tally);

/// Probability that a chi-square of an even number of degrees of freedom is larger than `chi_square`.
double chi_square_tail(double chi_square, int even_degrees);

}  // namespace cornerbench::field
