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
/// ones, then two (x, y) for each placing of a load.
class Nuisances {
  public:
    Nuisances() = default;
    Nuisances(int cells, int placings) : cells_(cells), placings_(placings) {}

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
    int count() const { return placing_x(placings_); }

  private:
    int cells_ = 0;
    int placings_ = 0;
};

}  // namespace cornerbench::diagnosis
