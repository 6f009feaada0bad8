#pragma once

#include <array>
#include <span>
#include <vector>

#include "firmware/scale/description.h"

namespace cornerbench::bad_days {

/// Which loads on a sound scale would make every cell feel what it seems to: the argument that nothing in the
/// readings tells a fault from another load, made anew for every weight that it excuses.
class OtherLoad {
  public:
    explicit OtherLoad(const scale::Description& description);

    /// Loads right over the supports, kg, under which the cells of a sound scale feel `change_kg` more than
    /// they did.
    std::array<double, scale::max_cells> over_supports(std::span<const double> change_kg) const;

    /// By how many kg the readings miss what any load explains; 0 when one does. Loads press, so none of
    /// those over the supports may be below zero by more than is not known of a sound scale:
    ///
    /// - the zero tolerance of the cell;
    /// - a tenth of all there is on the deck, for supports that differ in stiffness;
    /// - twenty divisions, down to which a scale shows what was taken off since zero was set;
    /// - what comes of supports that settled, each until half of the deck's own weight on it is gone, as
    ///   `weighing::CellLimits` has it: the deck's weight then stands on others, and the sum is the same.
    double unexplained_kg(std::span<const double> change_kg) const;

  private:
    int count_ = 0;
    std::vector<double> load_of_;  ///< load over a support (row) by change of a cell (column)
    std::vector<double> settled_;  ///< load over a support by a settled support, which loses 1 kg
    std::array<double, scale::max_cells> allowed_kg_{};
    std::array<double, scale::max_cells> most_settled_kg_{};
};

}  // namespace cornerbench::bad_days
