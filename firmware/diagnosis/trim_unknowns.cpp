#include "firmware/diagnosis/trim_unknowns.h"

#include <cmath>

#include "firmware/diagnosis/trim_range.h"

namespace cornerbench::diagnosis {

namespace {

constexpr double uniform_sd = 0.57735026918962576;  // of a half-width 1: 1 / sqrt(3)

// Judgement, no source: how far heights and stiffness of supports shift the dead load between them.
constexpr double dead_load_share_sd = 0.15;

}  // namespace

double setting_sd(CornerModel& model, int cell, double extra_N, double setting_turns) {
    if (model.per_cell()) return 0.0;
    const double at = model.setting(cell);
    const double half_width =
        model.condition().trim.turns > 0.0 ? setting_turns : fixed_resistor_tolerance * at;
    if (!(half_width > 0.0)) return 0.0;
    const double here = model.log_slope(cell, extra_N);
    model.set_setting(cell, at > half_width ? at - half_width : at + half_width);
    const double there = model.log_slope(cell, extra_N);
    model.set_setting(cell, at);
    return uniform_sd * std::fabs(there - here);
}

double change_sd(const scale::Description& description, CornerModel& model, int cell, double extra_N,
                 double present_at) {
    if (model.per_cell()) return 0.0;
    const scale::Cell& as_bought = description.cells[static_cast<unsigned>(cell)];
    const double now = model.setting(cell);
    const auto change = [&] {
        model.set_setting(cell, present_at);
        const double before = model.log_slope(cell, extra_N);
        model.set_setting(cell, now);
        return model.log_slope(cell, extra_N) - before;
    };
    const double nominal = change();
    model.set_bridge_ohm(cell, as_bought.input_ohm * (1.0 + uniform_sd * as_bought.input_tolerance),
                         as_bought.output_ohm);
    const double input = change() - nominal;
    model.set_bridge_ohm(cell, as_bought.input_ohm,
                         as_bought.output_ohm * (1.0 - uniform_sd * as_bought.output_tolerance));
    const double output = change() - nominal;
    model.set_bridge_ohm(cell, as_bought.input_ohm, as_bought.output_ohm);
    return std::sqrt(input * input + output * output);
}

double empty_signal_sd_kg(const scale::Description& description, const CornerModel& model, int cell) {
    const auto at = static_cast<unsigned>(cell);
    const scale::Cell& as_bought = description.cells[at];
    const double zero_kg = uniform_sd * as_bought.zero_tolerance * as_bought.capacity_kg;
    const double dead_kg = dead_load_share_sd * model.empty().newton[at] / scale::standard_gravity;
    return std::sqrt(zero_kg * zero_kg + dead_kg * dead_kg);
}

}  // namespace cornerbench::diagnosis
