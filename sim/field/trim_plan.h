#pragma once

#include <vector>

#include "firmware/diagnosis/trim_solver.h"
#include "sim/field/trim_or_fault.h"
#include "sim/files/scale_file.h"

namespace cornerbench::field {

/// What a plan is given beside the sheet, and what it may do in spite of it.
struct TrimPlanOptions {
    /// From a diagnosis of the same sheet.
    FaultSuspicion suspicion;
    /// Readings that the diagnosis set aside, as indices into the sheet: the plan does without them.
    std::vector<int> set_aside;
    /// Settings even where the readings point to a fault or contradict each other.
    bool in_spite_of_fault = false;

    /// Present corner gains of a per-cell box.
    diagnosis::PerCell digital_gain = diagnosis::no_gains();
    double setting_turns = 0.05;
    bool zero_before_each = true;
    bool even_if_within_uncertainty = false;
};

/// How a corner's weight is set in this box.
enum class TrimWay : unsigned char { turned, fitted, entered };

/// The trim plan of a sheet: the core's solution, and whether to follow it.
struct TrimPlan {
    double division_kg = 0.0;
    scale::Trim trim;

    diagnosis::TrimSolution solution;  ///< its reading counts on the whole sheet
    FaultSuspicion suspicion;
    std::vector<int> set_aside;
    bool in_spite_of_fault = false;
    bool refused_as_fault = false;
    /// By how much the readings' uncertainties were enlarged until they agreed with each other; 1 unless
    /// settings were asked for in spite of that.
    double uncertainty_factor = 1.0;

    /// True when there is something to turn: solved and not refused.
    bool to_do() const { return solution.verdict == diagnosis::TrimVerdict::solved && !refused_as_fault; }

    /// True when settings are shown: those to turn, or, asked for in spite of a fault, the nearest within
    /// range.
    bool shows_settings() const {
        return to_do() || (in_spite_of_fault && solution.verdict == diagnosis::TrimVerdict::out_of_range);
    }

    TrimWay way() const {
        if (solution.digital) return TrimWay::entered;
        return trim.turns > 0.0 ? TrimWay::turned : TrimWay::fitted;
    }
    /// True where a lower setting raises the weight: less resistance in an excitation lead.
    bool lower_raises() const { return !solution.digital && trim.kind == scale::TrimKind::excitation_series; }
};

/// Solves and judges. Never throws for what readings say.
TrimPlan make_trim_plan(const files::ScaleFile& scale, const diagnosis::Sheet& sheet,
                        const TrimPlanOptions& options = {});

}  // namespace cornerbench::field
