#pragma once

#include "firmware/scale/numbering.h"

/// The columns of every Jacobian: what is never known exactly, each in units of its own standard uncertainty.
namespace cornerbench::diagnosis {

/// Own to a cell, with its cable.
enum class CellUnknown : unsigned char { sensitivity, zero, input, output, cable, insulation };
inline constexpr int cell_unknown_count = 6;

/// Common to the scale.
enum class CommonUnknown : unsigned char { dead_load, span, zero_drift, excitation, copper, test_weights };
inline constexpr int common_unknown_count = 6;

/// Most cells that faults put in another's place: one each of two.
inline constexpr int max_replaced = 2;

/// Layout: cells' unknowns, trims, support stiffnesses, support heights, common ones, the replaced cells' own
/// ones, then two (x, y) for each placing of a load, then the drift since each zeroing on the way.
class Nuisances {
  public:
    Nuisances() = default;
    Nuisances(int cells, int placings, int zeroings = 0)
        : cells_(cells), placings_(placings), zeroings_(zeroings) {}

    int cell(int cell, CellUnknown of) const { return cell * cell_unknown_count + static_cast<int>(of); }
    int trim(int position) const { return cells_ * cell_unknown_count + position; }
    int stiffness(int support) const { return trim(cells_) + support; }
    int height(int support) const { return stiffness(cells_) + support; }
    int common(CommonUnknown of) const { return height(cells_) + static_cast<int>(of); }
    int replaced(int which, CellUnknown of) const {
        return height(cells_) + common_unknown_count + which * cell_unknown_count + static_cast<int>(of);
    }
    int placing_x(int placing) const { return replaced(max_replaced, CellUnknown{}) + 2 * placing; }
    int placing_y(int placing) const { return placing_x(placing) + 1; }
    /// Of a weight after that zeroing, or -1 for before any.
    int zero_drift(int zeroing) const {
        return zeroing < 0 ? common(CommonUnknown::zero_drift) : placing_x(placings_) + zeroing;
    }
    int count() const { return placing_x(placings_) + zeroings_; }

  private:
    int cells_ = 0;
    int placings_ = 0;
    int zeroings_ = 0;
};

}  // namespace cornerbench::diagnosis
