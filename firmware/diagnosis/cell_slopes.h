#pragma once

#include <array>

#include "firmware/circuit/box.h"
#include "firmware/diagnosis/nuisances.h"
#include "firmware/diagnosis/scatter.h"
#include "firmware/scale/condition.h"
#include "firmware/scale/description.h"

/// How one cell's network answers to what is never known of it.
namespace cornerbench::diagnosis {

/// What perturbs a cell's network beside its bridge ratio; each by one standard uncertainty.
enum class Perturbed : unsigned char { input, output, cable, insulation, copper, trim };
inline constexpr int perturbed_count = 6;

/// The unknown that stands for it, where that is one of the cell's own.
constexpr CellUnknown unknown_of(Perturbed what) {
    switch (what) {
        case Perturbed::input:
            return CellUnknown::input;
        case Perturbed::output:
            return CellUnknown::output;
        case Perturbed::cable:
            return CellUnknown::cable;
        default:
            return CellUnknown::insulation;
    }
}

/// Standard uncertainties of one cell as bought.
struct CellScatter {
    double sensitivity = 0.0;  ///< relative
    double zero_V_per_V = 0.0;
    double input = 0.0;   ///< relative
    double output = 0.0;  ///< relative
};

CellScatter cell_scatter(const scale::Cell& cell, const Scatter& scatter);

/// `cell` and `position` with one thing moved by one standard uncertainty.
void perturb(Perturbed what, const scale::Cell& bought, const scale::Trim& trim, bool trims_calibrated,
             const Scatter& scatter, scale::CellCondition& cell, scale::BoxPosition& position);

/// Step of the bridge ratio for a derivative, V/V.
inline constexpr double slope_ratio_step = 1.0e-4;
/// Force at which slopes are taken beside rest, a part of capacity: responses are straight far beyond it.
double slope_load_N(const scale::CellCondition& cell);

/// Change of a cell's port conductances, linear in the force on it.
struct CellSlopes {
    circuit::CellPorts per_ratio;  ///< per V/V of the bridge
    double ratio_per_N = 0.0;
    std::array<circuit::CellPorts, perturbed_count> at_rest{};  ///< per standard uncertainty, without force
    std::array<circuit::CellPorts, perturbed_count> per_N{};
};

CellSlopes cell_slopes(const scale::Condition& condition, int position, const scale::Cell& bought,
                       bool trims_calibrated, const Scatter& scatter);

/// Sum over the port pairs: the change of a ratio by its gradient.
double change(const circuit::RatioGradient& gradient, const circuit::CellPorts& ports);

}  // namespace cornerbench::diagnosis
