#pragma once

#include "sim/commissioning/check_line.h"
#include "sim/commissioning/design_check.h"

namespace cornerbench::commissioning {

/// What the cells' papers say, and what of it their standard lets follow from the rest.
struct CellPapers {
    const files::CellClass* cell_class = nullptr;  ///< null: not known
    double range_kg = 0.0;                         ///< measuring range of the weakest cell
    double intervals = 0.0;                        ///< n_LC; 0: not known
    double v_min_kg = 0.0;                         ///< 0: not known
    double share = 0.0;                            ///< p_LC; 0: not known
    double return_kg = 0.0;                        ///< DR; 0: not known
    bool return_by_class = false;                  ///< that is the class's limit, for want of a Z

    /// A verification interval of the cell, kg; 0: not known.
    double interval_kg() const { return intervals > 0.0 ? range_kg / intervals : 0.0; }
};

CellPapers cell_papers(const Design& design);

/// Whether the cells' papers agree with themselves and with the limits of their class. Nothing where neither
/// the scale's file nor the standard speaks of a class.
std::vector<CheckLine> check_cells(const Design& design);

}  // namespace cornerbench::commissioning
