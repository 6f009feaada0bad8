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

/// Change of a ratio with one cell's network.
struct NetworkAnswers {
    double per_ratio = 0.0;                         ///< per V/V of the bridge
    std::array<double, perturbed_count> at_rest{};  ///< per standard uncertainty, without force on the cell
    std::array<double, perturbed_count> per_N{};
};

/// Change of a cell's port conductances, linear in the force on it.
class CellSlopes {
  public:
    void keep_per_ratio(const circuit::CellPorts& change) { keep(0, change); }
    void keep_perturbed(int perturbed, const circuit::CellPorts& at_rest, const circuit::CellPorts& per_N) {
        keep(1 + perturbed, at_rest);
        keep(1 + perturbed_count + perturbed, per_N);
    }

    double ratio_per_N = 0.0;

    /// By the ratio's gradient: all sums over the port pairs in one pass.
    NetworkAnswers answers(const circuit::RatioGradient& gradient) const;

  private:
    static constexpr int answer_count = 1 + 2 * perturbed_count;
    void keep(int answer, const circuit::CellPorts& change) {
        for (int p = 0; p < circuit::port_pair_count; ++p) by_port_[p][answer] = change.siemens[p];
    }

    /// Even, for lanes of two.
    std::array<std::array<double, answer_count + 1>, circuit::port_pair_count> by_port_{};
};

/// How the cell at `position` answers to its load and to everything that is never known exactly of it.
CellSlopes cell_slopes(const scale::Condition& condition, int position, const scale::Cell& bought,
                       bool trims_calibrated, const Scatter& scatter);

}  // namespace cornerbench::diagnosis
