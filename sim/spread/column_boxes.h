#pragma once

#include <memory>
#include <span>
#include <vector>

#include "firmware/circuit/box.h"
#include "firmware/circuit/box_batch.h"

namespace cornerbench::spread {

/// Boxes solved many at once where a batch takes them, one by one where not.
class ColumnBoxes {
  public:
    static constexpr int columns = circuit::BoxBatch::columns;

    /// All are of the kind of `like`: what a batch takes of it, it takes of all.
    explicit ColumnBoxes(const scale::Condition& like);

    void put(int column, const scale::Condition& condition);
    /// The cell at `position` again, after an edit of it or of its trim.
    void put_cell(int column, int position, const scale::Condition& condition);

    /// Ratios of the first `filled` columns at bridge ratios [position * columns + column].
    void outputs(std::span<const double> bridge_ratios, int filled, std::span<double> ratio) const;

    bool by_batch() const { return batch_ != nullptr; }

  private:
    int count_ = 0;
    std::unique_ptr<circuit::BoxBatch> batch_;
    std::vector<circuit::Box> boxes_;
};

}  // namespace cornerbench::spread
