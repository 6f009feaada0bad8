#pragma once

#include <array>
#include <vector>

#include "firmware/weighing/still_scale.h"
#include "sim/spread/column_boxes.h"

/// What the cells of many scales put out under the loads of a corner test. The deck is the same for all.
namespace cornerbench::spread {

/// The deck empty, the test weight over each support, and half of Max spread evenly.
class CornerLoads {
  public:
    /// `valid()` is false when the described deck does not stand.
    CornerLoads(const scale::Description& description, double test_kg);

    bool valid() const { return valid_; }
    int corners() const { return corners_; }
    int count() const { return corners_ + 2; }
    static int empty() { return 0; }
    static int over(int support) { return 1 + support; }
    int evenly() const { return 1 + corners_; }
    double test_kg() const { return test_kg_; }
    double evenly_kg() const { return evenly_kg_; }

    /// Newtons on each cell under a load.
    const std::array<double, scale::max_cells>& force_N(int load) const {
        return force_N_[static_cast<std::size_t>(load)];
    }

  private:
    int corners_ = 0;
    double test_kg_ = 0.0;
    double evenly_kg_ = 0.0;
    bool valid_ = false;
    std::vector<std::array<double, scale::max_cells>> force_N_;
};

/// Bridge ratios of up to `ColumnBoxes::columns` scales under each of those loads.
class LoadRatios {
  public:
    explicit LoadRatios(const CornerLoads& loads);

    void put(int column, const scale::Condition& condition);

    /// At [position * columns + column].
    const std::vector<double>& under(int load) const { return ratios_[static_cast<std::size_t>(load)]; }

  private:
    const CornerLoads& loads_;
    std::vector<std::vector<double>> ratios_;
};

}  // namespace cornerbench::spread
