#include "firmware/diagnosis/candidates.h"

#include <cmath>
#include <utility>

#include "firmware/numbers/dense.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

using scale::Cause;
using scale::SiteKind;

namespace {

/// Candidates below this probability are not worth a group.
constexpr double least_probability = 1.0e-3;
constexpr int most_grouped = 40;
/// Odds of ten to one, as a logarithm: less does not tell two causes apart. Strong evidence by H. Jeffreys,
/// Theory of Probability, appendix B (from memory).
constexpr double told_apart = 2.302585092994046;

constexpr double healthy_prior = 0.15;

Cause cause_at(int index) {
    return static_cast<Cause>(index);
}

int add(const scale::Description& d, const Priors& priors, Cause cause, const scale::Site& site,
        std::span<Candidate> out, int count) {
    if (count >= static_cast<int>(out.size())) return count;
    Candidate& c = out[count];
    c = {};
    c.fault.cause = cause;
    c.fault.site = site;
    c.prior = priors[scale::index_of(cause)] / scale::site_count(d, cause);
    return count + 1;
}

struct Fitted {
    const Candidate& candidate;
    double log_fit;  ///< how far the readings are off at its best

    /// What prior, width of the magnitudes and tightness of the predictions say beside that, as a logarithm.
    double head_start() const { return numbers::log(candidate.prior) + candidate.log_evidence - log_fit; }
};

/// Readings tell two causes apart when they can be expected to, whichever of them is true: two predictions at
/// a distance of D standard uncertainties of the whole sheet give D^2 / 2 on average, of which a head start
/// of the other takes its part.
bool expected_apart(const Fitted& a, const Fitted& b, double distance_squared) {
    return 0.5 * distance_squared - std::fabs(a.head_start() - b.head_start()) > told_apart;
}

/// Or when they happen to: one fits far better, and has far the better odds.
bool found_apart(const Fitted& a, const Fitted& b) {
    const double odds = numbers::log(a.candidate.probability) - numbers::log(b.candidate.probability);
    return std::fabs(a.log_fit - b.log_fit) > told_apart && std::fabs(odds) > told_apart;
}

}  // namespace

Priors default_priors(const scale::Description& d) {
    Priors priors{};
    int others = 0;
    for (int i = 0; i < scale::cause_count; ++i) {
        if (cause_at(i) != Cause::healthy && scale::possible(d, cause_at(i))) ++others;
    }
    for (int i = 0; i < scale::cause_count; ++i) {
        if (cause_at(i) == Cause::healthy) {
            priors[i] = healthy_prior;
        } else if (scale::possible(d, cause_at(i))) {
            priors[i] = (1.0 - healthy_prior) / others;
        }
    }
    return priors;
}

int candidate_count(const scale::Description& d) {
    int count = 0;
    for (int i = 0; i < scale::cause_count; ++i) {
        if (scale::possible(d, cause_at(i))) count += scale::site_count(d, cause_at(i));
    }
    return count;
}

int grouping_doubles(int rows) {
    return rows * (2 * rows + most_grouped + 1) + most_grouped;
}

int list_candidates(const scale::Description& d, const Priors& priors, std::span<Candidate> out) {
    int count = 0;
    for (int cell = 0; cell < d.cell_count(); ++cell) {
        for (int i = 0; i < scale::cause_count; ++i) {
            const Cause cause = cause_at(i);
            if (!scale::possible(d, cause)) continue;
            const scale::Site site = scale::site_at(d, cause, cell < scale::site_count(d, cause) ? cell : 0);
            if (site.kind == SiteKind::cell) count = add(d, priors, cause, site, out, count);
        }
    }
    for (int i = 0; i < scale::cause_count; ++i) {
        const Cause cause = cause_at(i);
        if (!scale::possible(d, cause) || scale::site_at(d, cause, 0).kind == SiteKind::cell) continue;
        for (int s = 0; s < scale::site_count(d, cause); ++s) {
            count = add(d, priors, cause, scale::site_at(d, cause, s), out, count);
        }
    }
    return count;
}

void sort_candidates(std::span<Candidate> candidates) {
    const int n = static_cast<int>(candidates.size());
    for (int i = 1; i < n; ++i) {
        for (int j = i; j > 0 && candidates[j].probability > candidates[j - 1].probability; --j) {
            std::swap(candidates[j], candidates[j - 1]);
        }
    }
}

int group_candidates(numbers::Arena& arena, EvidenceIntegral& evidence, Predictor& predictor,
                     Likelihood& likelihood, std::span<Candidate> candidates) {
    const int rows = likelihood.rows();
    int n = 0;
    while (n < static_cast<int>(candidates.size()) && n < most_grouped &&
           candidates[n].probability > least_probability) {
        ++n;
    }
    const std::span<double> factor = arena.take(grouping_doubles(rows));
    if (arena.exhausted() || rows == 0) return 0;
    const std::span<double> other_factor = factor.subspan(rows * rows);
    const std::span<double> means = other_factor.subspan(rows * rows);
    const std::span<double> off = means.subspan(most_grouped * rows);
    const std::span<double> fit = off.subspan(rows);
    for (int a = 0; a < n; ++a) {
        if (!predictor.set(candidates[a].fault)) continue;
        for (int i = 0; i < rows; ++i) means[a * rows + i] = predictor.mean(likelihood.row(i));
        fit[a] = evidence.log_fit(candidates[a].fault);
    }
    const auto factor_at = [&](int a, std::span<double> out) {
        evidence.log_density(candidates[a].fault);
        likelihood.covariance(out);
        return numbers::cholesky(out, rows);
    };
    const auto distance_squared = [&](int a, int b, std::span<const double> in) {
        for (int i = 0; i < rows; ++i) off[i] = means[a * rows + i] - means[b * rows + i];
        numbers::forward_substitute(in, rows, off.first(rows));
        double square = 0.0;
        for (int i = 0; i < rows; ++i) square += off[i] * off[i];
        return square;
    };
    const auto groups_at_all = [&](int a) {
        const Cause cause = candidates[a].fault.cause;
        return cause != Cause::healthy && cause != Cause::unlisted;
    };
    int groups = 0;
    for (int a = 0; a < n; ++a) {
        if (!groups_at_all(a)) continue;
        const Fitted mine{candidates[a], fit[a]};
        bool ready = false;
        for (int b = a + 1; b < n; ++b) {
            if (!groups_at_all(b) || candidates[b].group >= 0) continue;
            const Fitted other{candidates[b], fit[b]};
            if (found_apart(mine, other)) continue;
            if (!ready && !factor_at(a, factor)) break;
            ready = true;
            // What one of them predicts sharply may be within the other's wide reach.
            const bool apart = expected_apart(mine, other, distance_squared(a, b, factor)) &&
                               factor_at(b, other_factor) &&
                               expected_apart(mine, other, distance_squared(a, b, other_factor));
            if (apart) continue;
            if (candidates[a].group < 0) candidates[a].group = groups++;
            candidates[b].group = candidates[a].group;
        }
    }
    return groups;
}

}  // namespace cornerbench::diagnosis
