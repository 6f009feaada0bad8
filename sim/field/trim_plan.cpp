#include "sim/field/trim_plan.h"

#include <cmath>
#include <memory>

#include "sim/field/trim_words.h"

namespace cornerbench::field {

TrimPlan make_trim_plan(const files::ScaleFile& scale, const diagnosis::Sheet& sheet,
                        const TrimPlanOptions& options) {
    const scale::Description& d = scale.description;
    TrimPlan plan;
    plan.scale_name = scale.name;
    plan.unit = d.unit;
    plan.division_kg = d.division_kg;
    plan.trim = d.trim;
    plan.fault_probability = options.fault_probability;

    const diagnosis::TrimQuestion question{.description = d,
                                           .sheet = sheet,
                                           .setting_turns = options.setting_turns,
                                           .zero_before_each = options.zero_before_each,
                                           .even_if_within_uncertainty = options.even_if_within_uncertainty};
    const auto model = std::make_unique<diagnosis::CornerModel>(d, options.digital_gain);
    plan.solution = diagnosis::solve_trim(question, *model);

    using diagnosis::TrimVerdict;
    const bool finds_settings =
        plan.solution.verdict == TrimVerdict::solved || plan.solution.verdict == TrimVerdict::out_of_range;
    plan.refused_as_fault = finds_settings && options.fault_probability > options.most_fault_probability;
    describe(plan, options);
    return plan;
}

}  // namespace cornerbench::field
