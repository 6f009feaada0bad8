#include "sim/field/trim_plan.h"

#include <algorithm>
#include <cmath>
#include <memory>

#include "firmware/diagnosis/gain_estimate.h"

namespace cornerbench::field {

using diagnosis::Reading;
using diagnosis::TrimSolution;
using diagnosis::TrimVerdict;

namespace {

constexpr int most_attempts = 24;
/// Uncertainties are enlarged a little further than the worst reading asks, so that few attempts do.
constexpr double accepted_score = 3.8;
constexpr double least_enlargement = 1.1;
/// A cell's gain is drawn to what its cell is made for: taken over anew until it stays this near.
constexpr double accepted_gain = 1.0e-4;
/// With less than this of its output a cell is dead or counts backwards.
constexpr double least_share = 0.1;

bool has_settings(TrimVerdict verdict) {
    return verdict == TrimVerdict::solved || verdict == TrimVerdict::leave_it ||
           verdict == TrimVerdict::out_of_range;
}

/// The sheet without what was set aside, and the same scale, both of which may give way.
class Attempt {
  public:
    Attempt(const scale::Description& description, const diagnosis::Sheet& sheet,
            const TrimPlanOptions& options)
        : description_(description), options_(options), sheet_(sheet) {
        const auto aside = [&](int i) {
            return std::find(options.set_aside.begin(), options.set_aside.end(), i) !=
                   options.set_aside.end();
        };
        for (int i = 0; i < static_cast<int>(sheet.readings.size()); ++i) {
            if (aside(i)) continue;
            readings_.push_back(sheet.readings[static_cast<std::size_t>(i)]);
            original_index_.push_back(i);
        }
        sheet_.readings = readings_;
        own_share_.fill(1.0);
    }

    TrimSolution solve() {
        const diagnosis::TrimQuestion question{
            .description = description_,
            .sheet = sheet_,
            .setting_turns = options_.setting_turns,
            .zero_before_each = options_.zero_before_each,
            .even_if_within_uncertainty = options_.even_if_within_uncertainty || enlarged_ > 1.0};
        const auto model = std::make_unique<diagnosis::CornerModel>(description_, options_.digital_gain);
        TrimSolution solution = diagnosis::solve_trim(question, *model);
        for (int i = 0; i < model->count(); ++i) gain_[static_cast<unsigned>(i)] = model->gain(i);
        if (solution.verdict == TrimVerdict::implausible_gain) odd_corner_ = solution.corner;
        return solution;
    }

    /// True when a corner's gain lay far off and is not yet taken for what its cell is made for.
    bool gives_way() const {
        return odd_corner_ >= 0 && std::fabs(gain_[static_cast<unsigned>(odd_corner_)] - 1.0) > accepted_gain;
    }

    bool hopeless() const {
        if (odd_corner_ < 0) return false;
        const auto at = static_cast<unsigned>(odd_corner_);
        return gain_[at] * own_share_[at] < least_share;
    }

    /// The same once more with uncertainties at which the readings agree (R. T. Birge's ratio).
    void enlarge(double score) {
        const double factor = std::max(score / accepted_score, least_enlargement);
        const double resolution = diagnosis::resolution_kg(sheet_, description_.division_kg);
        for (Reading& r : readings_) {
            if (!diagnosis::usable_weight(r)) continue;
            r.uncertainty =
                factor * diagnosis::weight_sd_kg(r, sheet_.instruments, description_.division_kg, resolution);
        }
        enlarged_ *= factor;
    }

    /// Takes the far-off gain of a corner for what its cell is made for.
    void accept_gain() {
        const auto at = static_cast<unsigned>(odd_corner_);
        description_.cells[at].rated_output_V_per_V *= gain_[at];
        own_share_[at] *= gain_[at];
    }

    void translate(TrimSolution& solution) const {
        if (solution.reading >= 0) {
            solution.reading = original_index_[static_cast<std::size_t>(solution.reading)];
        }
        double mean = 0.0;
        for (int i = 0; i < solution.corner_count; ++i) {
            const auto at = static_cast<unsigned>(i);
            solution.corners[at].relative_gain *= own_share_[at];
            mean += solution.corners[at].relative_gain / solution.corner_count;
        }
        for (int i = 0; i < solution.corner_count && mean > 0.0; ++i) {
            const auto at = static_cast<unsigned>(i);
            solution.corners[at].relative_gain /= mean;
            solution.corners[at].relative_gain_sd *= own_share_[at] / mean;
        }
    }

    int odd_corner() const { return odd_corner_; }
    double enlarged() const { return enlarged_; }

  private:
    scale::Description description_;
    const TrimPlanOptions& options_;
    diagnosis::Sheet sheet_;
    std::vector<Reading> readings_;
    std::vector<int> original_index_;
    diagnosis::PerCell own_share_{};
    diagnosis::PerCell gain_{};
    int odd_corner_ = -1;
    double enlarged_ = 1.0;
};

}  // namespace

TrimPlan make_trim_plan(const files::ScaleFile& scale, const diagnosis::Sheet& sheet,
                        const TrimPlanOptions& options) {
    scale::Description d = scale.description;
    // On a multi-interval scale the test weight is shown by the division of its own range.
    double most_kg = 0.0;
    for (const Reading& r : sheet.readings)
        if (diagnosis::usable_weight(r)) most_kg = std::max(most_kg, r.load.total_kg());
    d.division_kg = d.division_at_kg(most_kg);
    TrimPlan plan;
    plan.division_kg = d.division_kg;
    plan.trim = d.trim;
    plan.suspicion = options.suspicion;
    plan.set_aside = options.set_aside;
    plan.in_spite_of_fault = options.in_spite_of_fault;

    Attempt attempt(d, sheet, options);
    plan.solution = attempt.solve();
    const TrimSolution first = plan.solution;
    for (int i = 1; i < most_attempts && options.in_spite_of_fault && !attempt.hopeless(); ++i) {
        if (attempt.gives_way()) {
            attempt.accept_gain();
        } else if (plan.solution.verdict == TrimVerdict::readings_disagree) {
            attempt.enlarge(plan.solution.reading_score);
        } else {
            break;
        }
        plan.solution = attempt.solve();
    }
    plan.uncertainty_factor = attempt.enlarged();
    if (attempt.hopeless() ||
        (first.verdict == TrimVerdict::implausible_gain && !has_settings(plan.solution.verdict))) {
        plan.solution = first;
        plan.solution.verdict = TrimVerdict::implausible_gain;
        plan.solution.corner = attempt.odd_corner();
        plan.uncertainty_factor = 1.0;
    }
    attempt.translate(plan.solution);
    plan.refused_as_fault = plan.suspicion.verdict == TrimOrFault::fault && !plan.in_spite_of_fault;
    return plan;
}

}  // namespace cornerbench::field
