#include "sim/commissioning/limits.h"

#include <cmath>
#include <vector>

namespace cornerbench::commissioning {

namespace {

constexpr double slack_divisions = 1.0e-9;

}  // namespace

double limit_kg(const files::Standard& standard, const files::ScaleFile& scale, files::Stage stage,
                double load_kg) {
    const double division = scale.description.division_at_kg(load_kg);
    return division * standard.limit_divisions(scale.accuracy_class, stage, load_kg / division);
}

std::set<double> limit_changes_kg(const files::Standard& standard, const files::ScaleFile& scale) {
    const scale::Description& d = scale.description;
    std::set<double> changes;
    std::vector<double> divisions{d.division_kg};
    for (const scale::PartialRange& range : d.finer) {
        if (!(range.max_kg > 0.0)) continue;
        changes.insert(range.max_kg);
        divisions.push_back(range.division_kg);
    }
    const files::AccuracyClass* found = standard.find_class(scale.accuracy_class);
    if (found == nullptr) return changes;
    for (const double division : divisions) {
        for (int i = 0; i < found->limits.count; ++i) {
            const double kg = found->limits.bands[static_cast<unsigned>(i)].upper_edge * division;
            if (d.division_at_kg(kg) == division) changes.insert(kg);
        }
    }
    return changes;
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
