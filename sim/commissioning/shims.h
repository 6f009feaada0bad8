#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim/files/sheet_file.h"

/// From the cells' signals with the deck empty: what each support carries, and the shims that even it out.
namespace cornerbench::commissioning {

/// How much of its share a support carries.
enum class Bearing : unsigned char {
    fair,   ///< within what cannot be told apart
    free,   ///< nothing on it, or no more than its uncertainty
    light,  ///< clearly less than it should
    heavy   ///< clearly more
};

/// What one support carries of the empty deck, beside what it should.
struct SupportLoad {
    int support = 0;  ///< from 0
    double carried_kg = 0.0;
    double uncertainty_kg = 0.0;  ///< standard: mostly the cell's zero balance
    double expected_kg = 0.0;     ///< by the statics, every support at its height
    Bearing bearing = Bearing::fair;
};

/// A plate to put under one support, up to 20 mm thick; where a gap is open, that comes on top.
struct Shim {
    int support = 0;
    double mm = 0.0;
    double uncertainty_mm = 0.0;  ///< standard
    /// Supports that hang free and that it would load: no signal shows how wide their gaps are, so `mm`
    /// counts from where they touch.
    std::vector<int> gaps{};

    bool at_least() const { return !gaps.empty(); }
};

/// The supports' loads, and the shims that even them out.
struct ShimPlan {
    std::vector<SupportLoad> loads;
    std::vector<Shim> shims;       ///< fewest that even it out; empty when nothing needs to be
    std::vector<int> hanging;      ///< supports that hang free, or may: what they carry is not above nothing
    std::vector<double> after_kg;  ///< by support, with the shims in; empty while any hangs free
    double misfit_before = 0.0;    ///< root mean square departure, in standard uncertainties
    double misfit_after = 0.0;     ///< the same with the shims in, and the gaps filled before
    /// Departures that no height explains, such as a cell with a shifted zero or a wrong dead load.
    bool unexplained = false;
};

/// Thicknesses in which shims come.
inline constexpr double shim_step_mm = 0.1;

/// Nothing when the sheet lacks the lifted signal (or the channel) of some cell with the deck empty;
/// `missing` then names the first, from 1.
std::optional<ShimPlan> plan_shims(const files::SheetFile& sheet, int& missing);

}  // namespace cornerbench::commissioning
