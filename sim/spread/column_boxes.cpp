#include "sim/spread/column_boxes.h"

#include <stdexcept>

namespace cornerbench::spread {

ColumnBoxes::ColumnBoxes(const scale::Condition& like) : count_(like.cell_count) {
    if (circuit::BoxBatch::accepts(like)) {
        batch_ = std::make_unique<circuit::BoxBatch>();
    } else {
        boxes_.resize(columns);
    }
}

void ColumnBoxes::put(int column, const scale::Condition& condition) {
    if (!batch_) {
        boxes_[static_cast<std::size_t>(column)] = circuit::Box(condition);
    } else if (!batch_->put(column, condition)) {
        throw std::logic_error("a box of another kind than its batch");
    }
}

void ColumnBoxes::put_cell(int column, int position, const scale::Condition& condition) {
    if (batch_) {
        batch_->put_cell(column, position, condition);
    } else {
        boxes_[static_cast<std::size_t>(column)].replace(position, condition);
    }
}

void ColumnBoxes::outputs(std::span<const double> bridge_ratios, int filled, std::span<double> ratio) const {
    if (batch_) {
        batch_->outputs(bridge_ratios, filled, ratio, {});
        return;
    }
    for (int k = 0; k < filled; ++k) {
        circuit::Ratios one{};
        for (int p = 0; p < count_; ++p)
            one[static_cast<unsigned>(p)] = bridge_ratios[static_cast<std::size_t>(p * columns + k)];
        ratio[static_cast<std::size_t>(k)] = boxes_[static_cast<std::size_t>(k)].output(one).ratio;
    }
}

}  // namespace cornerbench::spread
