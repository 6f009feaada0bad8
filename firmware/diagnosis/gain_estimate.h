#pragma once

#include <array>
#include <span>

#include "firmware/diagnosis/corner_model.h"

/// From weights over corners and sections to what each cell gives.
namespace cornerbench::diagnosis {

/// Row-major square matrix of up to one row per cell, without padding: element (i, j) is at i * n + j.
using CellMatrix = std::array<double, scale::max_cells * scale::max_cells>;

/// Each cell's gain in proportion to the mean of all, and the indicator's unknown span.
struct GainEstimate {
    /// Whether there is an estimate, else why not: nothing usable, a deck that does not stand, no
    /// convergence.
    enum class Outcome : unsigned char { done, no_readings, deck, not_converged };
    Outcome outcome = Outcome::no_readings;

    PerCell log_gain{};          ///< mean near 0; as far as it came when it did not converge
    CellMatrix covariance{};     ///< of log_gain + log(kg_per_ratio), the unknown twist stiffness included
    double kg_per_ratio = 0.0;   ///< weight = (ratio - empty ratio) * kg_per_ratio + zero_kg
    double zero_kg = 0.0;        ///< what the indicator shows with nothing on the deck
    double resolution_kg = 0.0;  ///< to which the weights were read; 0: finer than a tenth of a division

    int readings = 0;             ///< loaded ones used
    double worst_residual = 0.0;  ///< of a reading that others foretell, in its standard deviations
    int worst_reading = -1;       ///< index into the sheet
};

/// True for a weight that trimming can use: a value, taken while the load grew or came on fresh.
bool usable_weight(const Reading& reading);

/// Step in which the sheet's weights were read: the division, a tenth of it, or 0 for a finer one.
double resolution_kg(const Sheet& sheet, double division_kg);

/// Standard uncertainty of a weight by itself, kg: as stated, else repeatability and rounding.
double weight_sd_kg(const Reading& reading, const Instruments& instruments, double division_kg,
                    double resolution_kg);

/// Relative standard deviation that a cell's gain on the bus has from its tolerances.
double gain_tolerance_sd(const scale::Description& description, int cell);

/// Fits gains, span and zero to every usable weight of the sheet by Gauss-Newton on the model, whose gains it
/// leaves set. Gains lean on "all alike" with three times their tolerance, which decides what the readings
/// cannot: a deck stiff against twist hides the pattern + - + - of its cells, which then disturbs no corner.
GainEstimate estimate_gains(const scale::Description& description, const Sheet& sheet, CornerModel& model);

/// Corners on which no reading puts a tenth of its load, alone or told apart from its neighbours.
/// Returns how many; `missing` is set by support.
int find_missing_corners(const scale::Description& description, const Sheet& sheet,
                         std::span<bool, scale::max_cells> missing);

}  // namespace cornerbench::diagnosis
