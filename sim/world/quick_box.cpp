#include "sim/world/quick_box.h"

#include <algorithm>
#include <cmath>
#include <span>

namespace cornerbench::world {

namespace {

/// Small enough for a tangent, large enough that rounding (1e-19 V/V) leaves twelve digits of the slope.
constexpr double slope_step = 1.0e-6;

/// Share of the largest reach to begin with: how bent the new circuit is shows with the first comparison.
constexpr double first_reach = 0.2;

double farthest_apart(const circuit::BoxOutput& a, const circuit::BoxOutput& b, bool per_cell,
                      std::size_t count) {
    if (!per_cell) return std::fabs(a.ratio - b.ratio);
    double farthest = 0.0;
    for (std::size_t i = 0; i < count; ++i)
        farthest = std::max(farthest, std::fabs(a.channel[i] - b.channel[i]));
    return farthest;
}

}  // namespace

QuickBox::QuickBox(const scale::Condition& condition, double tolerance, double largest_reach)
    : tolerance_(tolerance), largest_reach_(largest_reach) {
    change(condition);
}

void QuickBox::change(const scale::Condition& condition) {
    box_ = circuit::Box(condition);
    count_ = static_cast<std::size_t>(condition.cell_count);
    reach_ = first_reach * largest_reach_;
    solved_here_ = false;
}

void QuickBox::solve_at(const circuit::Ratios& ratios) {
    ++solved_;
    at_ = ratios;
    there_ = box_.output(ratios);
    circuit::Ratios moved = ratios;
    if (box_.per_cell()) {
        for (std::size_t i = 0; i < count_; ++i) moved[i] += slope_step;
        const circuit::BoxOutput beside = box_.output(moved);
        for (std::size_t i = 0; i < count_; ++i)
            slope_[i] = (beside.channel[i] - there_.channel[i]) / slope_step;
        return;
    }
    for (std::size_t i = 0; i < count_; ++i) {
        moved[i] = ratios[i] + slope_step;
        slope_[i] = (box_.output(moved).ratio - there_.ratio) / slope_step;
        moved[i] = ratios[i];
    }
}

void QuickBox::follow_tangent(const circuit::Ratios& ratios) {
    if (box_.per_cell()) {
        double sum = 0.0;
        for (std::size_t i = 0; i < count_; ++i) {
            output_.channel[i] = there_.channel[i] + slope_[i] * (ratios[i] - at_[i]);
            sum += box_.gain(static_cast<int>(i)) * output_.channel[i];
        }
        output_.ratio = sum;
        return;
    }
    double ratio = there_.ratio;
    for (std::size_t i = 0; i < count_; ++i) ratio += slope_[i] * (ratios[i] - at_[i]);
    output_.ratio = ratio;
}

const circuit::BoxOutput& QuickBox::read(const circuit::Ratios& ratios) {
    double moved = 0.0;
    for (std::size_t i = 0; i < count_; ++i) moved = std::max(moved, std::fabs(ratios[i] - at_[i]));
    if (solved_here_ && moved <= reach_) {
        follow_tangent(ratios);
        return output_;
    }
    if (solved_here_ && moved <= 2.0 * reach_) {
        follow_tangent(ratios);
        const circuit::BoxOutput tangent = output_;
        solve_at(ratios);
        // An error that grows with the square is a quarter of it at half the way.
        const double off = farthest_apart(tangent, there_, box_.per_cell(), count_);
        if (off > tolerance_) reach_ *= 0.5;
        if (off < 0.1 * tolerance_) reach_ = std::min(1.5 * reach_, largest_reach_);
    } else {
        solve_at(ratios);
    }
    solved_here_ = true;
    output_ = there_;
    return output_;
}

}  // namespace cornerbench::world
