#include "sim/field/fault_effect.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "firmware/diagnosis/diagnose.h"

namespace cornerbench::field {

using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::Shown;

double largest_effect(const scale::Description& d, const scale::Fault& fault, std::uint64_t seed,
                      const SheetSetting& setting) {
    SheetSetting exact = setting;
    exact.noisy = false;
    const SimulatedSheet sound = simulate_sheet(d, {}, seed, {}, exact);
    const SimulatedSheet faulty = simulate_sheet(d, {&fault, 1}, seed, {}, exact);
    constexpr double without_end = std::numeric_limits<double>::infinity();
    // Readings that the deck no longer bears are missing.
    if (sound.readings.size() != faulty.readings.size()) return without_end;
    const diagnosis::Sheet sheet = sound.sheet();
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    std::vector<diagnosis::Compared> rows(sheet.readings.size());
    const int count = diagnosis::compare(d, sheet, scale::Fault{}, {}, memory, rows);
    double most = 0.0;
    for (int i = 0; i < count; ++i) {
        const auto at = static_cast<std::size_t>(rows[static_cast<std::size_t>(i)].reading);
        const Reading& before = sound.readings[at];
        const Reading& after = faulty.readings[at];
        if (after.shown != Shown::value) return without_end;
        const double moved = before.quantity == Quantity::resistance ? std::log(after.value / before.value)
                                                                     : after.value - before.value;
        most = std::max(most, std::fabs(moved) / rows[static_cast<std::size_t>(i)].uncertainty);
    }
    return most;
}

}  // namespace cornerbench::field
