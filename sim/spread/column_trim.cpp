#include "sim/spread/column_trim.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "sim/field/trimmed_corners.h"

namespace cornerbench::spread {

namespace {

constexpr int most_steps = 60;
/// A stiff deck shares a corner's load among its neighbours, so one sweep over the corners is far from
/// enough.
constexpr int inner_sweeps = 12;
/// Of the response; a hundred millionth of a corner's load.
constexpr double near_enough = 1.0e-9;

bool digital(const scale::Condition& c) {
    return c.converter == scale::Converter::per_cell;
}

}  // namespace

double ColumnTrim::setting(const scale::Condition& c, int position) {
    const scale::BoxPosition& place = c.positions[static_cast<unsigned>(position)];
    if (digital(c)) return place.digital_gain;
    const double ohm = scale::trim_variable_ohm(c.trim, place.trim_at);
    return c.trim.kind == scale::TrimKind::signal_shunt ? 1.0 / (c.trim.fixed_ohm + ohm) : ohm;
}

void ColumnTrim::set(scale::Condition& c, int position, double setting) {
    double& knob = field::knob(c, position);
    if (digital(c)) {
        knob = setting;
        return;
    }
    const bool shunt = c.trim.kind == scale::TrimKind::signal_shunt;
    const double ohm = shunt ? 1.0 / setting - c.trim.fixed_ohm : setting;
    const double at = c.trim.turns > 0.0 ? ohm * c.trim.turns / c.trim.total_ohm : ohm;
    knob = std::clamp(at, 0.0, scale::trim_last_position(c.trim));
}

ColumnTrim::Range ColumnTrim::range(const scale::Condition& c) {
    const field::KnobRange knobs = field::knob_range(c);
    if (digital(c)) return {knobs.low, knobs.high};
    if (c.trim.kind == scale::TrimKind::signal_shunt)
        return {1.0 / (c.trim.fixed_ohm + c.trim.total_ohm), 1.0 / c.trim.fixed_ohm};
    return {0.0, c.trim.total_ohm};
}

ColumnTrim::ColumnTrim(const scale::Condition& nominal, const CornerLoads& loads)
    : count_(nominal.cell_count) {
    const auto n = static_cast<std::size_t>(count_);
    LoadRatios ratios(loads);
    ratios.put(0, nominal);
    const auto at = [&](int load) {
        circuit::Ratios one{};
        for (int p = 0; p < count_; ++p)
            one[static_cast<unsigned>(p)] =
                ratios.under(load)[static_cast<std::size_t>(p * ColumnBoxes::columns)];
        return one;
    };
    const auto responses = [&](const circuit::Box& box) {
        std::vector<double> response(n);
        const double empty = box.output(at(CornerLoads::empty())).ratio;
        for (int i = 0; i < count_; ++i)
            response[static_cast<std::size_t>(i)] = box.output(at(CornerLoads::over(i))).ratio - empty;
        return response;
    };
    const Range whole = range(nominal);
    slopes_.resize(n * n);
    circuit::Box box(nominal);
    const std::vector<double> before = responses(box);
    for (int k = 0; k < count_; ++k) {
        scale::Condition turned = nominal;
        const double here = setting(nominal, k);
        const double by =
            0.01 * (whole.high - whole.low) * (here < 0.5 * (whole.low + whole.high) ? 1.0 : -1.0);
        set(turned, k, here + by);
        box.replace(k, turned);
        const std::vector<double> after = responses(box);
        box.replace(k, nominal);
        for (std::size_t i = 0; i < n; ++i)
            slopes_[i * n + static_cast<std::size_t>(k)] = (after[i] - before[i]) / by;
    }
}

double ColumnTrim::first_target(const scale::Condition& c, std::span<const double> response) const {
    const Range whole = range(c);
    double reach_low = 0.0;
    double reach_high = 0.0;
    double mean = 0.0;
    for (int i = 0; i < count_; ++i) {
        const double now = response[static_cast<std::size_t>(i)];
        const double here = setting(c, i);
        const auto [low, high] =
            std::minmax({now + slope(i, i) * (whole.low - here), now + slope(i, i) * (whole.high - here)});
        reach_low = i == 0 ? low : std::max(reach_low, low);
        reach_high = i == 0 ? high : std::min(reach_high, high);
        mean += now / count_;
    }
    return std::min(std::max(mean, reach_low), reach_high);
}

double ColumnTrim::step(std::span<const double> response, double& target, bool first,
                        scale::Condition& c) const {
    const Range whole = range(c);
    const double slack = 1.0e-12 * (whole.high - whole.low);
    std::array<double, scale::max_cells> here{};
    std::array<double, scale::max_cells> to{};
    for (int i = 0; i < count_; ++i) {
        const auto at = static_cast<unsigned>(i);
        here[at] = to[at] = setting(c, i);
        // A corner at its end stop sinks as its neighbours are turned down: all settle for what it still
        // reaches.
        const bool at_stop = here[at] <= whole.low + slack || here[at] >= whole.high - slack;
        if (!first && at_stop) target = std::min(target, response[at]);
    }
    double to_mend = 0.0;
    for (int sweep = 0; sweep < inner_sweeps; ++sweep) {
        for (int i = 0; i < count_; ++i) {
            const auto at = static_cast<unsigned>(i);
            double off = target - response[at];
            for (int k = 0; k < count_; ++k)
                off -= slope(i, k) * (to[static_cast<unsigned>(k)] - here[static_cast<unsigned>(k)]);
            const double wanted = to[at] + off / slope(i, i);
            to[at] = std::clamp(wanted, whole.low, whole.high);
            const bool stopped = std::fabs(wanted - to[at]) > slack;
            if (sweep == 0 && !stopped) to_mend = std::max(to_mend, std::fabs(target - response[at]));
        }
    }
    for (int i = 0; i < count_; ++i) set(c, i, to[static_cast<unsigned>(i)]);
    return to_mend;
}

void ColumnTrim::trim(std::span<scale::Condition> conditions, const LoadRatios& ratios,
                      ColumnBoxes& boxes) const {
    const int filled = static_cast<int>(conditions.size());
    std::vector<double> empty(ColumnBoxes::columns);
    std::vector<std::vector<double>> loaded(static_cast<std::size_t>(count_),
                                            std::vector<double>(ColumnBoxes::columns));
    std::vector<double> target(conditions.size());
    std::vector<double> response(static_cast<std::size_t>(count_));
    // A scale that is there stays as it is, so that its bits do not depend on what stands beside it.
    std::vector<bool> there(conditions.size());
    for (int round = 0; round < most_steps; ++round) {
        boxes.outputs(ratios.under(CornerLoads::empty()), filled, empty);
        for (int i = 0; i < count_; ++i)
            boxes.outputs(ratios.under(CornerLoads::over(i)), filled, loaded[static_cast<std::size_t>(i)]);
        bool all_there = true;
        for (std::size_t k = 0; k < conditions.size(); ++k) {
            if (there[k]) continue;
            for (std::size_t i = 0; i < response.size(); ++i) response[i] = loaded[i][k] - empty[k];
            if (round == 0) target[k] = first_target(conditions[k], response);
            const double to_mend = step(response, target[k], round == 0, conditions[k]);
            there[k] = round > 0 && to_mend <= near_enough * std::fabs(target[k]);
            all_there = all_there && there[k];
            for (int i = 0; i < count_; ++i) boxes.put_cell(static_cast<int>(k), i, conditions[k]);
        }
        if (all_there) return;
    }
}

}  // namespace cornerbench::spread
