#include "sim/report/trim_json.h"

#include <cmath>
#include <string>

#include "sim/files/mass_unit.h"
#include "sim/report/diagnosis_json.h"
#include "sim/report/finding_words.h"

namespace cornerbench::report {

namespace {

using field::TrimOrFault;

const char* setting_unit(const field::TrimPlan& plan) {
    if (plan.solution.digital) return "gain";
    return plan.trim.turns > 0.0 ? "turns" : "ohm";
}

const char* name_of(TrimOrFault verdict) {
    switch (verdict) {
        case TrimOrFault::trim:
            return "trim";
        case TrimOrFault::unexplained:
            return "unexplained";
        case TrimOrFault::undecided:
            return "undecided";
        case TrimOrFault::fault:
            return "fault";
    }
    return "trim";
}

Json diagnosis_part(const TrimPage& page) {
    const field::FaultSuspicion& suspicion = page.plan.suspicion;
    Json suspects = Json::array();
    for (const int index : suspicion.suspects) {
        const diagnosis::Candidate& c = page.diagnosed.candidates[static_cast<std::size_t>(index)];
        suspects.push_back({{"name", scale::name_of(c.fault.cause)},
                            {"where", where_json(c.fault)},
                            {"probability", c.probability}});
    }
    Json told_by = Json::array();
    const bool open = suspicion.verdict == TrimOrFault::undecided || suspicion.suspects.size() > 1;
    if (open) {
        for (const field::NextCheck* check : telling_checks(page)) {
            told_by.push_back(check_json(*check, page.scale.description));
        }
    }
    Json set_aside = Json::array();
    for (const int index : page.plan.set_aside) {
        const diagnosis::Reading& reading = page.sheet.readings[static_cast<std::size_t>(index)];
        set_aside.push_back(
            {{"reading", index + 1}, {"what", reading_words(reading, page.scale.description)}});
    }
    return {{"verdict", name_of(suspicion.verdict)},
            {"suspects", suspects},
            {"told_by", told_by},
            {"set_aside", set_aside}};
}

/// Whole divisions in the scale's unit, without what converting to kilograms and back leaves behind.
double tidy(double mass) {
    return std::round(mass * 1.0e6) / 1.0e6 + 0.0;
}

Json display_json(const diagnosis::Display& display, double unit_kg) {
    return {{"exact", display.kg / unit_kg}, {"rounded", tidy(display.rounded_kg / unit_kg)}};
}

/// The same where somebody turns until the display is right.
Json target_json(const diagnosis::Display& display, double unit_kg, double division_kg) {
    Json json = display_json(display, unit_kg);
    json["changes_over_with"] = tidy(small_weights_kg(display, division_kg) / unit_kg);
    return json;
}

Json spread_json(const diagnosis::Spread& spread, double division_kg) {
    return {{"expected_d", spread.expected_kg / division_kg},
            {"within_95_d", spread.within_95_kg / division_kg}};
}

Json corner_json(const field::TrimPlan& plan, int index, double unit_kg) {
    const diagnosis::CornerTrim& c = plan.solution.corners[static_cast<std::size_t>(index)];
    Json json = {{"corner", index + 1},
                 {"load", c.mass_kg / unit_kg},
                 {"before", c.before_kg / unit_kg},
                 {"relative_gain", c.relative_gain},
                 {"relative_gain_sd", c.relative_gain_sd}};
    if (plan.solution.verdict == diagnosis::TrimVerdict::out_of_range) json["beyond_ohm"] = c.beyond_ohm;
    if (!plan.shows_settings()) return json;
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
    json["stays"] = c.stays;
    return json;
}

Json step_json(const diagnosis::TrimStep& step, double unit_kg, double division_kg) {
    return {{"corner", step.corner + 1},
            {"from", step.from_at},
            {"to", step.to_at},
            {"before", display_json(step.before, unit_kg)},
            {"target", target_json(step.target, unit_kg, division_kg)},
            {"target_sd", step.target_sd_kg / unit_kg},
            {"emptied", display_json(step.emptied, unit_kg)},
            {"check", target_json(step.check, unit_kg, division_kg)}};
}

}  // namespace

Json to_json(const TrimPage& page) {
    using diagnosis::TrimVerdict;
    const field::TrimPlan& plan = page.plan;
    const diagnosis::TrimSolution& s = plan.solution;
    const scale::MassUnit unit = page.scale.description.unit;
    const double unit_kg = scale::kilograms_in(unit);
    const bool weighed = s.verdict == TrimVerdict::solved || s.verdict == TrimVerdict::leave_it ||
                         s.verdict == TrimVerdict::out_of_range;
    const TrimWords words = trim_words(page);

    Json json = json_document();
    json["scale"] = page.scale.name;
    json["unit"] = std::string(files::unit_name(unit));
    json["verdict"] = plan.refused_as_fault ? "fault" : diagnosis::name_of(s.verdict);
    json["outcome"] = words.outcome;
    json["before"] = words.before;
    json["advice"] = words.advice;
    json["fault_probability"] = plan.suspicion.fault_probability;
    json["in_spite_of_fault"] = plan.in_spite_of_fault;
    json["diagnosis"] = diagnosis_part(page);
    if (s.verdict == TrimVerdict::missing_corner) {
        json["missing"] = Json::array();
        for (int i = 0; i < s.corner_count; ++i) {
            if (s.missing[static_cast<std::size_t>(i)]) json["missing"].push_back(i + 1);
        }
    } else if (s.corner >= 0) {
        json["corner"] = s.corner + 1;
    }
    if (s.reading >= 0) json["reading"] = s.reading + 1;
    if (!weighed) return json;

    json["setting_unit"] = setting_unit(plan);
    json["weight_rises_with"] = plan.lower_raises() ? "lower settings" : "higher settings";
    json["uncertainty_factor"] = plan.uncertainty_factor;
    json["load"] = s.reference_kg / unit_kg;
    json["spread"] = {{"before_d", s.spread_before_kg / plan.division_kg},
                      {"readings_alone", spread_json(s.readings_alone, plan.division_kg)}};
    json["corners"] = Json::array();
    for (int i = 0; i < s.corner_count; ++i) json["corners"].push_back(corner_json(plan, i, unit_kg));
    if (s.verdict == TrimVerdict::out_of_range)
        json["spread"]["at_stops_d"] = s.spread_after_kg / plan.division_kg;
    if (!plan.to_do()) return json;

    json["spread"]["computed_d"] = s.spread_after_kg / plan.division_kg;
    json["spread"]["by_position"] = spread_json(s.by_position, plan.division_kg);
    json["spread"]["by_display"] = spread_json(s.by_display, plan.division_kg);
    json["zero_before_each"] = s.zero_before_each;
    json["steps"] = Json::array();
    for (int i = 0; i < s.step_count; ++i) {
        json["steps"].push_back(step_json(s.steps[static_cast<std::size_t>(i)], unit_kg, plan.division_kg));
    }
    json["all_corners_show"] = s.shown_per_kg * s.reference_kg / unit_kg;
    json["span_factor"] = s.span_factor;
    json["signal_change"] = s.signal_change;
    return json;
}

}  // namespace cornerbench::report
