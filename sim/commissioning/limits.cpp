#include "sim/commissioning/limits.h"

#include <cmath>

namespace cornerbench::commissioning {

namespace {

constexpr double slack_divisions = 1.0e-9;

}  // namespace

double limit_kg(const files::Standard& standard, const files::ScaleFile& scale, files::Stage stage,
                double load_kg) {
    const double division = scale.description.division_at_kg(load_kg);
    return division * standard.limit_divisions(scale.accuracy_class, stage, load_kg / division);
}

double corner_spread_limit_kg(const files::Standard& standard, const files::ScaleFile& scale,
                              files::Stage stage, double load_kg) {
    const double division = scale.description.division_at_kg(load_kg);
    return division * standard.corner_spread_divisions(scale.accuracy_class, stage, load_kg / division);
}

double repeatability_limit_kg(const files::Standard& standard, const files::ScaleFile& scale,
                              files::Stage stage, double load_kg) {
    const auto& rule = standard.tests.repeatability;
    if (!rule) return 0.0;
    const double limit = rule->spread_limits * limit_kg(standard, scale, stage, load_kg);
    return rule->by_stage ? limit : limit / standard.stage(stage).factor;
}

double zero_return_limit_kg(const files::Standard& standard, const files::ScaleFile& scale,
                            files::Stage stage) {
    const auto& rule = standard.tests.zero_return;
    if (!rule) return 0.0;
    const double division = scale.description.division_at_kg(0.0);
    return rule->limit_divisions > 0.0 ? rule->limit_divisions * division
                                       : rule->smallest_limits * limit_kg(standard, scale, stage, division);
}

double turning_point_kg(const files::Standard& standard, double limit_kg, double division_kg) {
    if (standard.before_rounding) return limit_kg;
    return division_kg * (std::floor(limit_kg / division_kg + slack_divisions) + 0.5);
}

}  // namespace cornerbench::commissioning
