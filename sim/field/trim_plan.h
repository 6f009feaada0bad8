#pragma once

#include <string>
#include <vector>

#include "firmware/diagnosis/trim_solver.h"
#include "sim/files/scale_file.h"

/// The trim plan as a technician takes it to the box: the core's solution, and in words why there is none.
namespace cornerbench::field {

struct TrimPlanOptions {
    /// Probability that the corner pattern is a fault, from a diagnosis of the same sheet.
    double fault_probability = 0.0;
    /// Above this the plan is refused: a trim must not hide a fault.
    double most_fault_probability = 0.5;
    std::string likeliest_fault;  ///< in words, such as "loose terminal, S+ of cell 5"; may be empty

    /// Present corner gains of a per-cell box.
    diagnosis::PerCell digital_gain = diagnosis::no_gains();
    double setting_turns = 0.05;
    bool zero_before_each = true;
    bool even_if_within_uncertainty = false;
};

struct TrimPlan {
    std::string scale_name;
    scale::MassUnit unit = scale::MassUnit::kilogram;
    double division_kg = 0.0;
    scale::Trim trim;

    diagnosis::TrimSolution solution;
    bool refused_as_fault = false;
    double fault_probability = 0.0;

    /// True when there is something to turn: solved and not refused.
    bool to_do() const { return solution.verdict == diagnosis::TrimVerdict::solved && !refused_as_fault; }

    std::string outcome;              ///< one sentence: what comes of it, with the place and the amount
    std::vector<std::string> advice;  ///< what to do, or to mind while doing it
};

/// Solves and judges. Never throws for what readings say: a refusal is a plan with an outcome.
TrimPlan make_trim_plan(const files::ScaleFile& scale, const diagnosis::Sheet& sheet,
                        const TrimPlanOptions& options = {});

}  // namespace cornerbench::field
