#include "sim/field/next_check.h"

#include <algorithm>

#include "sim/field/check_values.h"

namespace cornerbench::field {

using diagnosis::Candidate;

namespace {

constexpr double least_bits = 0.01;

}  // namespace

std::vector<NextCheck> next_checks(const scale::Description& d, const diagnosis::Sheet& sheet,
                                   std::span<const Candidate> about, std::span<const int> ignored, int most,
                                   const CheckMinutes& minutes, const Workplace& from) {
    std::vector<NextCheck> checks;
    const CheckValues values(d, sheet, about, ignored, minutes, from);
    if (!values.good()) return checks;
    const Foreseen now = values.now();
    for (std::size_t i = 0; i < values.checks().size(); ++i) {
        const PossibleCheck& check = values.checks()[i];
        const double bits = values.bits(i, now);
        if (bits < least_bits) continue;
        checks.push_back({check.reading,
                          check.minutes,
                          bits,
                          std::min(bits / values.doubt_bits(), 1.0),
                          check.repeats,
                          {}});
    }
    std::stable_sort(checks.begin(), checks.end(), [](const NextCheck& a, const NextCheck& b) {
        return a.bits / a.minutes > b.bits / b.minutes;
    });
    if (static_cast<int>(checks.size()) > most) checks.resize(static_cast<std::size_t>(most));
    return checks;
}

}  // namespace cornerbench::field
