#include "firmware/diagnosis/trim_settings.h"

#include <algorithm>
#include <cmath>

#include "firmware/diagnosis/trim_range.h"
#include "firmware/numbers/dense.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

constexpr int most_iterations = 60;
constexpr double converged = 1.0e-10;
constexpr double loss_step = 1.0e-4;  // of the cell's own resistance or conductance

bool log_slopes(const CornerModel& model, double extra_N, PerCell& logs) {
    model.cell_slopes(extra_N, logs);
    for (int i = 0; i < model.count(); ++i) {
        double& value = logs[static_cast<unsigned>(i)];
        if (!(value > 0.0)) return false;
        value = numbers::log(value);
    }
    return true;
}

class AnalogueSettings {
  public:
    AnalogueSettings(CornerModel& model, double extra_N)
        : model_(model), trim_(model.condition().trim), n_(model.count()), extra_N_(extra_N) {}

    Settings run();

  private:
    double natural_loss(int cell) const;
    void set_loss(int cell, double loss);
    bool linearise();
    void solve(std::span<double> right) const;

    CornerModel& model_;
    const scale::Trim trim_;
    int n_;
    double extra_N_;
    int reference_ = 0;
    PerCell loss_{};
    PerCell logs_{};
    CellMatrix slope_{};   ///< of log ratio against the reference's, per natural loss
    CellMatrix factor_{};  ///< of slope' slope
};

/// The loss that would halve the signal or so: a measure for steps and for bounding them.
double AnalogueSettings::natural_loss(int cell) const {
    const scale::CellCondition& c = model_.condition().cells[static_cast<unsigned>(cell)];
    return trim_.kind == scale::TrimKind::signal_shunt ? 1.0 / c.output_ohm : c.input_ohm;
}

void AnalogueSettings::set_loss(int cell, double loss) {
    loss_[static_cast<unsigned>(cell)] = loss;
    model_.set_setting(cell, position_with_loss(trim_, loss));
}

bool AnalogueSettings::linearise() {
    const auto n = static_cast<unsigned>(n_);
    const auto r = static_cast<unsigned>(reference_);
    for (unsigned k = 0; k < n; ++k) {
        const int cell = static_cast<int>(k);
        const double step = loss_step * natural_loss(cell);
        const double here = loss_[k];
        PerCell moved{};
        set_loss(cell, here + step);
        const bool answered = log_slopes(model_, extra_N_, moved);
        set_loss(cell, here);
        if (!answered) return false;
        for (unsigned j = 0; j < n; ++j) {
            slope_[j * n + k] = ((moved[j] - moved[r]) - (logs_[j] - logs_[r])) / loss_step;
        }
    }
    for (unsigned k = 0; k < n; ++k) slope_[r * n + k] = k == r ? 1.0 : 0.0;

    // Nearly diagonal, so that the normal equations lose nothing.
    for (unsigned i = 0; i < n; ++i) {
        for (unsigned j = 0; j <= i; ++j) {
            double sum = 0.0;
            for (unsigned k = 0; k < n; ++k) sum += slope_[k * n + i] * slope_[k * n + j];
            factor_[i * n + j] = sum;
        }
    }
    return numbers::cholesky(std::span(factor_).first(n * n), n_);
}

/// `right` becomes the steps in natural losses whose effect it was.
void AnalogueSettings::solve(std::span<double> right) const {
    const auto n = static_cast<unsigned>(n_);
    PerCell projected{};
    for (unsigned i = 0; i < n; ++i) {
        for (unsigned k = 0; k < n; ++k) projected[i] += slope_[k * n + i] * right[k];
    }
    numbers::solve_factored(std::span(factor_).first(n * n), n_, projected);
    std::copy_n(projected.begin(), n, right.begin());
}

Settings AnalogueSettings::run() {
    Settings result;
    const auto n = static_cast<unsigned>(n_);
    const LossRange range = loss_range(trim_);
    for (int i = 0; i < n_; ++i) set_loss(i, range.least);
    if (!log_slopes(model_, extra_N_, logs_)) return result;
    reference_ = static_cast<int>(std::min_element(logs_.begin(), logs_.begin() + n_) - logs_.begin());

    for (int iteration = 0; iteration < most_iterations && !result.found; ++iteration) {
        if (!linearise()) return result;
        PerCell step{};
        for (unsigned j = 0; j < n; ++j) step[j] = logs_[static_cast<unsigned>(reference_)] - logs_[j];
        solve(step);
        for (int i = 0; i < n_; ++i) {
            const auto at = static_cast<unsigned>(i);
            if (i == reference_) continue;
            const double limited = std::clamp(step[at], -0.5, 0.5) * natural_loss(i);
            set_loss(i, std::max(loss_[at] + limited, 0.5 * range.least));
        }
        // Through the bus a cell can prove weaker than the one that was held: then it is the one to hold.
        const auto lowest = std::min_element(loss_.begin(), loss_.begin() + n_);
        if (*lowest < range.least) {
            reference_ = static_cast<int>(lowest - loss_.begin());
            set_loss(reference_, range.least);
        }
        if (!log_slopes(model_, extra_N_, logs_)) return result;
        double worst = 0.0;
        for (unsigned j = 0; j < n; ++j) {
            worst = std::max(worst, std::fabs(logs_[j] - logs_[static_cast<unsigned>(reference_)]));
        }
        result.found = worst < converged;
    }
    if (!result.found || !linearise()) return result;

    result.reference = reference_;
    for (unsigned k = 0; k < n; ++k) {
        PerCell answer{};
        for (unsigned j = 0; j < n; ++j) {
            if (static_cast<int>(j) == reference_) continue;
            answer[j] = (j == k ? -1.0 : 0.0) + (static_cast<int>(k) == reference_ ? 1.0 : 0.0);
        }
        solve(answer);
        answer[static_cast<unsigned>(reference_)] = 0.0;
        for (unsigned i = 0; i < n; ++i) {
            const double natural = natural_loss(static_cast<int>(i));
            const double step = loss_step * natural;
            const double position_per_loss =
                (position_with_loss(trim_, loss_[i] + step) - position_with_loss(trim_, loss_[i])) / step;
            result.per_log_gain[i * n + k] = answer[i] * natural * position_per_loss;
        }
    }
    for (int i = 0; i < n_; ++i) result.at[static_cast<unsigned>(i)] = model_.setting(i);
    return result;
}

Settings digital_settings(CornerModel& model, double extra_N) {
    Settings result;
    const auto n = static_cast<unsigned>(model.count());
    PerCell slope{};
    model.cell_slopes(extra_N, slope);
    double mean = 0.0;
    for (unsigned i = 0; i < n; ++i) {
        if (!(slope[i] > 0.0)) return result;
        result.at[i] = model.setting(static_cast<int>(i)) / slope[i];
        mean += result.at[i] / n;
    }
    for (unsigned i = 0; i < n; ++i) {
        result.at[i] /= mean;
        model.set_setting(static_cast<int>(i), result.at[i]);
    }
    for (unsigned i = 0; i < n; ++i) {
        for (unsigned k = 0; k < n; ++k) {
            result.per_log_gain[i * n + k] = result.at[i] * (result.at[k] / n - (i == k ? 1.0 : 0.0));
        }
    }
    result.reference = -1;
    result.found = true;
    return result;
}

}  // namespace

Settings find_settings(CornerModel& model, double extra_N) {
    return model.per_cell() ? digital_settings(model, extra_N) : AnalogueSettings(model, extra_N).run();
}

}  // namespace cornerbench::diagnosis
