#include "sim/field/comparing.h"

#include <algorithm>
#include <cmath>

#include "firmware/diagnosis/inspection.h"

namespace cornerbench::field {

using diagnosis::Candidate;
using diagnosis::Compared;
using diagnosis::Quantity;

namespace {

/// Standard uncertainties beyond which a reading is off (99.7 % of normals lie within).
constexpr double off = 3.0;
/// A prediction that goes less than this share of the way to a reading does not explain it.
constexpr double gone_some_way = 0.5;
/// And is unsure when its standard uncertainty is this many times a healthy scale's.
constexpr double unsure = 2.0;
/// The nearest fault has to take away more than half of what a healthy scale misses.
constexpr double clearly_nearer = 0.5;
constexpr std::size_t asked_for_nearest = 8;
constexpr std::size_t most_left_over = 3;
/// A reading without a value that is less probable than this is a misreading if the answer is true.
constexpr double misreading = 0.01;
/// Odds of ten to one that a thing seen speaks for another cause: strong evidence by H. Jeffreys, Theory of
/// Probability, appendix B (from memory).
constexpr double speaks_for_another = 10.0;
/// Nobody places a weight so well: what an uncertainty is without that of the place.
constexpr double placed_exactly_m = 1.0e-9;

double standardised(const Compared& c) {
    return (c.value - c.given_others) / c.given_others_uncertainty;
}

bool a_fault(const Candidate& c) {
    return c.fault.cause != scale::Cause::healthy && c.fault.cause != scale::Cause::unlisted;
}

}  // namespace

bool only_widened(const Compared& healthy, const Compared& with) {
    const double departs = healthy.value - healthy.predicted;
    return std::fabs(departs) > off * healthy.uncertainty && std::fabs(standardised(with)) < off &&
           std::fabs(with.given_others - healthy.predicted) < gone_some_way * std::fabs(departs) &&
           with.given_others_uncertainty > unsure * healthy.uncertainty;
}

Comparing::Comparing(const scale::Description& d, const diagnosis::Sheet& sheet,
                     const diagnosis::Outcome& outcome, std::vector<double>& memory)
    : d_(d),
      sheet_(sheet),
      set_aside_(outcome.wild.data(), static_cast<std::size_t>(outcome.wild_count)),
      memory_(memory) {}

Comparison Comparing::with_healthy() const {
    return with(-1, Candidate{});
}

Comparison Comparing::with(int index, const Candidate& by) const {
    const std::size_t most = sheet_.readings.size();
    Comparison c;
    c.candidate = index;
    c.rows.resize(most);
    c.seen.resize(most);
    const int rows = diagnosis::compare(d_, sheet_, by.fault, set_aside_, memory_, c.rows, {}, by.also);
    const int seen = diagnosis::compare_seen(d_, sheet_, by.fault, set_aside_, memory_, c.seen, {}, by.also);
    c.rows.resize(static_cast<std::size_t>(rows));
    c.seen.resize(static_cast<std::size_t>(seen));
    return c;
}

double Comparing::misfit(const Candidate& by) const {
    return diagnosis::misfit_of(d_, sheet_, by.fault, set_aside_, memory_, {}, by.also);
}

void Comparing::find_widened(const Comparison& healthy, const Candidate& by, Comparison& with) const {
    for (std::size_t i = 0; i < with.rows.size(); ++i) {
        if (only_widened(healthy.rows[i], with.rows[i])) with.widened.push_back({static_cast<int>(i), false});
    }
    if (with.widened.empty()) return;
    diagnosis::Sheet placed = sheet_;
    placed.instruments.placing_m = placed_exactly_m;
    std::vector<Compared> rows(sheet_.readings.size());
    diagnosis::compare(d_, placed, by.fault, set_aside_, memory_, rows, {}, by.also);
    for (Widened& w : with.widened) {
        const auto at = static_cast<std::size_t>(w.row);
        const double share = rows[at].uncertainty / with.rows[at].uncertainty;
        w.by_placing = share * share < 0.5;
    }
}

int Comparing::nearest_of(const std::vector<Candidate>& candidates) const {
    std::vector<int> order;
    for (std::size_t i = 0; i < candidates.size(); ++i) {
        if (a_fault(candidates[i]) && candidates[i].prior > 0.0) order.push_back(static_cast<int>(i));
    }
    std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
        return candidates[static_cast<std::size_t>(a)].best_log_density >
               candidates[static_cast<std::size_t>(b)].best_log_density;
    });
    order.resize(std::min(order.size(), asked_for_nearest));
    double least = clearly_nearer * misfit(Candidate{});
    int nearest = -1;
    for (const int i : order) {
        const double missed = misfit(candidates[static_cast<std::size_t>(i)]);
        if (missed >= least) continue;
        least = missed;
        nearest = i;
    }
    return nearest;
}

std::vector<Unexpected> unexpected_in(const diagnosis::Sheet& sheet, const DiagnosedSheet& found) {
    std::vector<Unexpected> unexpected;
    for (const diagnosis::Seen& seen : found.answer.seen) {
        const diagnosis::Reading& r = sheet.readings[static_cast<std::size_t>(seen.reading)];
        if (r.quantity != Quantity::inspection) {
            if (seen.probability < misreading) unexpected.push_back({seen.reading, seen, -1});
            continue;
        }
        double most = 0.0;
        int shown_by = -1;
        for (std::size_t i = 0; i < found.candidates.size(); ++i) {
            if (!a_fault(found.candidates[i])) continue;
            const Candidate& c = found.candidates[i];
            const double probability = std::exp(diagnosis::log_inspection(r, c.fault, c.also));
            // The likeliest comes first among those that show it alike.
            if (probability <= most) continue;
            most = probability;
            shown_by = static_cast<int>(i);
        }
        if (most > speaks_for_another * seen.probability) {
            unexpected.push_back({seen.reading, seen, r.as_it_should_be ? -1 : shown_by});
        }
    }
    return unexpected;
}

std::vector<int> left_over_in(const DiagnosedSheet& found) {
    std::vector<int> left;
    const bool unlisted = found.candidates.front().fault.cause == scale::Cause::unlisted;
    if (unlisted ? !found.nearest : !found.fits_no_cause()) return left;
    const std::vector<Compared>& rows = found.answer.rows;
    for (std::size_t i = 0; i < rows.size(); ++i) {
        if (std::fabs(standardised(rows[i])) > off) left.push_back(static_cast<int>(i));
    }
    std::stable_sort(left.begin(), left.end(), [&](int a, int b) {
        return std::fabs(standardised(rows[static_cast<std::size_t>(a)])) >
               std::fabs(standardised(rows[static_cast<std::size_t>(b)]));
    });
    left.resize(std::min(left.size(), most_left_over));
    return left;
}

}  // namespace cornerbench::field
