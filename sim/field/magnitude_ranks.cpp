#include "sim/field/magnitude_ranks.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "sim/field/fault_draw.h"
#include "sim/field/magnitude_posterior.h"
#include "sim/field/side_by_side.h"

namespace cornerbench::field {

namespace {

constexpr std::uint64_t magnitude_stream = 51;
constexpr double all_together = 0.01;
constexpr int least_in_bin = 5;

std::vector<scale::Cause> with_magnitudes(const scale::Description& d, const diagnosis::Priors& priors) {
    std::vector<scale::Cause> causes;
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<scale::Cause>(i);
        if (!scale::possible(d, cause) || !(priors[static_cast<std::size_t>(i)] > 0.0)) continue;
        if (scale::magnitudes_of(d, cause, scale::site_at(d, cause, 0)).count > 0) causes.push_back(cause);
    }
    return causes;
}

}  // namespace

std::vector<RankCase> run_ranks(const scale::Description& description, const diagnosis::Priors& priors,
                                const TrialSetting& setting, const TrialShard& shard,
                                const std::function<void(int)>& progress) {
    const std::vector<scale::Cause> causes = with_magnitudes(description, priors);
    const int begin = shard.begin(setting.sheets);
    const int end = shard.end(setting.sheets);
    std::vector<RankCase> cases;
    const auto rank = [&](int i) {
        RankCase c;
        c.seed = setting.first_seed + static_cast<std::uint64_t>(i);
        if (!causes.empty()) {
            c.truth = causes[c.seed % causes.size()];
            RandomSource random(c.seed, magnitude_stream);
            const scale::Fault truth = draw_fault_of(description, c.truth, random);
            const SimulatedSheet sheet =
                simulate_sheet(description, {&truth, 1}, c.seed, setting.plan, setting.setting);
            const diagnosis::Sheet readings = sheet.sheet();
            MagnitudePosterior posterior(description, readings);
            c.answered = posterior.good();
            if (c.answered) {
                const scale::Magnitudes m = scale::magnitudes_of(description, truth.cause, truth.site);
                const auto shares = posterior.shares_below(truth);
                for (std::size_t k = 0; k < static_cast<std::size_t>(m.count); ++k) {
                    c.magnitudes.push_back({m.of[k].name, shares[k]});
                }
            }
        }
        return c;
    };
    side_by_side(begin, end, rank, [&](int i, RankCase&& c) {
        cases.push_back(std::move(c));
        if (progress) progress(i + 1 - begin);
    });
    return cases;
}

RankTrial tally_ranks(std::span<const RankCase> cases) {
    RankTrial trial;
    for (int i = 0; i < scale::cause_count; ++i) {
        for (std::size_t k = 0; k < scale::max_magnitudes; ++k) {
            RankTally tally;
            tally.cause = static_cast<scale::Cause>(i);
            for (const RankCase& c : cases) {
                if (!c.answered || c.truth != tally.cause || k >= c.magnitudes.size()) continue;
                tally.magnitude = c.magnitudes[k].name;
                tally.shares.push_back(c.magnitudes[k].share);
            }
            if (tally.shares.empty()) continue;
            test_uniform(tally);
            trial.magnitudes.push_back(std::move(tally));
        }
    }
    int tested = 0;
    for (const RankTally& tally : trial.magnitudes) tested += tally.enough ? 1 : 0;
    trial.least_probability = tested > 0 ? all_together / tested : 0.0;
    trial.cases = static_cast<int>(cases.size());
    for (const RankCase& c : cases) trial.failed += c.answered ? 0 : 1;
    return trial;
}

void test_uniform(RankTally& tally) {
    const auto n = static_cast<double>(tally.shares.size());
    std::sort(tally.shares.begin(), tally.shares.end());
    for (const double share : tally.shares) {
        const int bin = std::clamp(static_cast<int>(share * rank_bins), 0, rank_bins - 1);
        ++tally.bins[static_cast<std::size_t>(bin)];
        tally.mean += share / n;
    }
    const double expected = n / rank_bins;
    for (const int count : tally.bins) {
        tally.chi_square += (count - expected) * (count - expected) / expected;
    }
    tally.enough = expected >= least_in_bin;
    if (tally.enough) tally.probability = chi_square_tail(tally.chi_square, rank_bins - 1);
}

double chi_square_tail(double chi_square, int even_degrees) {
    // A sum of k exponentials is larger than x when a Poisson process has fewer than k events by then.
    const double x = 0.5 * chi_square;
    double term = std::exp(-x);
    double sum = 0.0;
    for (int i = 0; i < even_degrees / 2; ++i) {
        sum += term;
        term *= x / (i + 1);
    }
    return std::min(sum, 1.0);
}

}  // namespace cornerbench::field
