#include "sim/training/against.h"

#include <cmath>
#include <vector>

#include "sim/field/comparing.h"

namespace cornerbench::training {

using diagnosis::Reading;

namespace {

/// Standard uncertainties from which on a reading speaks against a cause.
constexpr double speaks_against = 3.0;
/// Probability below which a thing seen does.
constexpr double hardly_seen = 0.1;

/// What the comparison leaves farthest off by itself, else beside all others.
std::optional<Against> farthest_off(const field::Comparison& comparison, const diagnosis::Sheet& sheet) {
    for (const bool given_others : {false, true}) {
        std::optional<Against> most;
        for (const diagnosis::Compared& row : comparison.rows) {
            const double expected = given_others ? row.given_others : row.predicted;
            const double uncertainty = given_others ? row.given_others_uncertainty : row.uncertainty;
            const double off = (row.value - expected) / uncertainty;
            if (std::fabs(off) < speaks_against) continue;
            if (most && std::fabs(off) <= std::fabs(most->standardised)) continue;
            most = Against{row.reading, row.value, expected, off, false, given_others};
        }
        if (most) return most;
    }
    for (const diagnosis::Seen& seen : comparison.seen) {
        if (seen.probability >= hardly_seen) continue;
        const Reading& r = sheet.readings[static_cast<std::size_t>(seen.reading)];
        return Against{seen.reading, r.value, seen.predicted, 0.0, true};
    }
    return std::nullopt;
}

}  // namespace

std::optional<Against> what_speaks_against(const scale::Description& d, const diagnosis::Sheet& sheet,
                                           const field::DiagnosedSheet& ranked,
                                           const diagnosis::Candidate& named) {
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    const field::Comparing comparing(d, sheet, ranked.outcome, memory);
    return farthest_off(comparing.with(0, named), sheet);
}

}  // namespace cornerbench::training
