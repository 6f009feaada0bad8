#include "sim/report/trim_json.h"

#include <cmath>
#include <string>

#include "sim/files/mass_unit.h"

namespace cornerbench::report {

namespace {

using nlohmann::ordered_json;

const char* setting_unit(const field::TrimPlan& plan) {
    if (plan.solution.digital) return "gain";
    return plan.trim.turns > 0.0 ? "turns" : "ohm";
}

/// Whole divisions in the scale's unit, without what converting to kilograms and back leaves behind.
double tidy(double mass) {
    return std::round(mass * 1.0e6) / 1.0e6 + 0.0;
}

ordered_json display_json(const diagnosis::Display& display, double unit_kg) {
    return {{"exact", display.kg / unit_kg}, {"rounded", tidy(display.rounded_kg / unit_kg)}};
}

ordered_json spread_json(const diagnosis::Spread& spread, double division_kg) {
    return {{"expected_d", spread.expected_kg / division_kg},
            {"within_95_d", spread.within_95_kg / division_kg}};
}

ordered_json corner_json(const field::TrimPlan& plan, int index, double unit_kg) {
    const diagnosis::CornerTrim& c = plan.solution.corners[static_cast<std::size_t>(index)];
    ordered_json json = {{"corner", index + 1},
                         {"load", c.mass_kg / unit_kg},
                         {"before", c.before_kg / unit_kg},
                         {"relative_gain", c.relative_gain},
                         {"relative_gain_sd", c.relative_gain_sd}};
    if (plan.solution.verdict == diagnosis::TrimVerdict::out_of_range) json["beyond_ohm"] = c.beyond_ohm;
    if (!plan.to_do()) return json;
    json["after"] = c.after_kg / unit_kg;
    json["from"] = c.present_at;
    json["to"] = c.fitted_at;
    json["change"] = c.fitted_at - c.present_at;
    json["exact"] = c.at;
    json["sd"] = c.at_sd;
    if (!plan.solution.digital) {
        json["from_ohm"] = c.present_ohm;
        json["to_ohm"] = c.fitted_ohm;
        json["exact_ohm"] = c.ohm;
    }
    json["at_stop"] = c.at_stop;
    return json;
}

ordered_json step_json(const diagnosis::TrimStep& step, double unit_kg) {
    return {{"corner", step.corner + 1},
            {"from", step.from_at},
            {"to", step.to_at},
            {"before", display_json(step.before, unit_kg)},
            {"target", display_json(step.target, unit_kg)},
            {"target_sd", step.target_sd_kg / unit_kg},
            {"emptied", display_json(step.emptied, unit_kg)},
            {"check", display_json(step.check, unit_kg)}};
}

}  // namespace

ordered_json to_json(const field::TrimPlan& plan) {
    using diagnosis::TrimVerdict;
    const diagnosis::TrimSolution& s = plan.solution;
    const double unit_kg = scale::kilograms_in(plan.unit);
    const bool weighed = s.verdict == TrimVerdict::solved || s.verdict == TrimVerdict::leave_it ||
                         s.verdict == TrimVerdict::out_of_range;

    ordered_json json = {{"scale", plan.scale_name},
                         {"unit", std::string(files::unit_name(plan.unit))},
                         {"verdict", plan.refused_as_fault ? "fault" : diagnosis::name_of(s.verdict)},
                         {"outcome", plan.outcome},
                         {"advice", plan.advice},
                         {"fault_probability", plan.fault_probability}};
    if (s.verdict == TrimVerdict::missing_corner) {
        json["missing"] = ordered_json::array();
        for (int i = 0; i < s.corner_count; ++i) {
            if (s.missing[static_cast<std::size_t>(i)]) json["missing"].push_back(i + 1);
        }
    } else if (s.corner >= 0) {
        json["corner"] = s.corner + 1;
    }
    if (s.reading >= 0) json["reading"] = s.reading + 1;
    if (!weighed) return json;

    json["setting_unit"] = setting_unit(plan);
    json["load"] = s.reference_kg / unit_kg;
    json["spread"] = {{"before_d", s.spread_before_kg / plan.division_kg},
                      {"readings_alone", spread_json(s.readings_alone, plan.division_kg)}};
    json["corners"] = ordered_json::array();
    for (int i = 0; i < s.corner_count; ++i) json["corners"].push_back(corner_json(plan, i, unit_kg));
    if (s.verdict == TrimVerdict::out_of_range)
        json["spread"]["at_stops_d"] = s.spread_after_kg / plan.division_kg;
    if (!plan.to_do()) return json;

    json["spread"]["computed_d"] = s.spread_after_kg / plan.division_kg;
    json["spread"]["by_position"] = spread_json(s.by_position, plan.division_kg);
    json["spread"]["by_display"] = spread_json(s.by_display, plan.division_kg);
    json["zero_before_each"] = s.zero_before_each;
    json["steps"] = ordered_json::array();
    for (int i = 0; i < s.step_count; ++i) {
        json["steps"].push_back(step_json(s.steps[static_cast<std::size_t>(i)], unit_kg));
    }
    json["all_corners_show"] = s.shown_per_kg * s.reference_kg / unit_kg;
    json["span_factor"] = s.span_factor;
    json["signal_change"] = s.signal_change;
    return json;
}

}  // namespace cornerbench::report
