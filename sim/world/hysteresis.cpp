#include "sim/world/hysteresis.h"

#include <cmath>

namespace cornerbench::world {

namespace {

// Branches go a x + n x^2 / 2 from their turning point; n = 4 makes the loop over all of capacity 1 high at
// mid range, a = -2 lets it end where it began.
double bend(double way) {
    return -2.0 * way + 2.0 * way * way;
}

/// Brings the first branch up onto the straight line.
double middle(double load) {
    return 2.0 * load * (1.0 - load);
}

}  // namespace

double Hysteresis::follow(double load) {
    const bool up = count_ % 2 == 1;
    if (up ? load < load_ : load > load_) turn_at_last();
    load_ = load;
    forget_closed_loops(load);
    return middle(load) + branch_at(load);
}

void Hysteresis::turn_at_last() {
    if (count_ == most_turns) {
        // The innermost loop is the smallest: it makes room.
        count_ -= 2;
    }
    const Turn turn{load_, branch_at(load_)};
    turns_[static_cast<unsigned>(count_)] = turn;
    ++count_;
}

void Hysteresis::forget_closed_loops(double load) {
    while (count_ >= 2) {
        const double before = turns_[static_cast<unsigned>(count_ - 2)].load;
        const bool up = count_ % 2 == 1;
        if (up ? load < before : load > before) return;
        if (count_ == 2) {
            // Below everything that ever was: the whole memory begins anew there.
            turns_[0] = {load, -middle(load)};
            count_ = 1;
            return;
        }
        count_ -= 2;
    }
}

double Hysteresis::branch_at(double load) const {
    const Turn& from = turns_[static_cast<unsigned>(count_ - 1)];
    const double way = bend(std::fabs(load - from.load));
    return count_ % 2 == 1 ? from.branch + way : from.branch - way;
}

}  // namespace cornerbench::world
