#include "firmware/diagnosis/gain_estimate.h"

#include <algorithm>
#include <cmath>

#include "firmware/numbers/dense.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

constexpr int most_iterations = 25;
constexpr double converged_step = 1.0e-7;  // weak patterns of gains end in rounding near 1e-8
// A gain further off than e^1.5 belongs to a cell that is not working; the fit must only survive it.
constexpr double most_log_gain = 1.5;
constexpr double longest_step = 0.5;

// The prior's width in tolerances: wide enough to leave what the readings say alone.
constexpr double tolerances_allowed = 3.0;
// The prior is laid anew around what it let the readings say, so that a well seen gain is drawn to the others
// by a part of a part of a part, and an unseen one stays where it was.
constexpr int prior_rounds = 3;
constexpr double least_prior_sd = 0.01;

// Judgement, no source: what the file says of the deck's twist stiffness is good to a quarter.
constexpr double twist_stiffness_sd = 0.25;

// In divisions: without an empty reading on the sheet the empty scale is taken to show zero, as near as zero
// is set (OIML R 76-1:2006, 4.5.2: 0.25 e). With one, that reading speaks, and this leaves it alone.
constexpr double zero_sd = 0.25;
constexpr double zero_sd_if_read = 100.0;

constexpr double rounding_sd = 0.28867513459481287;  // 1 / sqrt(12)

constexpr int max_unknowns = scale::max_cells + 2;

/// One reading against the model, linearised.
struct Seen {
    double residual_kg = 0.0;
    double variance = 0.0;
    std::array<double, max_unknowns> slope{};  ///< per log gain of each cell, kg of zero, log span
    double per_log_twist = 0.0;
    bool valid = true;
};

class Fit {
  public:
    Fit(const scale::Description& description, const Sheet& sheet, CornerModel& model)
        : sheet_(sheet), division_kg_(description.division_kg), model_(model), n_(model.count()) {
        resolution_ = resolution_kg(sheet, division_kg_);
        for (int i = 0; i < n_; ++i) {
            prior_sd_[static_cast<unsigned>(i)] =
                std::max(least_prior_sd, tolerances_allowed * gain_tolerance_sd(description, i));
        }
        find_masses();
    }

    GainEstimate run();

  private:
    int unknowns() const { return n_ + 2; }
    unsigned zero() const { return static_cast<unsigned>(n_); }
    unsigned span() const { return static_cast<unsigned>(n_ + 1); }
    void find_masses();
    bool start();
    Seen look_at(const Reading& reading) const;
    double placing_variance(const Reading& reading, const CellForces& forces, bool& valid) const;
    void set_gains(const PerCell& log_gain) const;
    bool gather();
    bool converge();
    double move(std::span<const double> step);
    void judge_residuals(GainEstimate& result) const;

    const Sheet& sheet_;
    double division_kg_;
    CornerModel& model_;
    int n_;
    double resolution_ = 0.0;
    double kg_per_ratio_ = 0.0;
    double zero_kg_ = 0.0;
    double zero_sd_kg_ = 0.0;
    bool masses_differ_ = false;
    int loaded_ = 0;
    double empty_ratio_ = 0.0;
    PerCell empty_slope_{};
    PerCell log_gain_{};
    PerCell prior_mean_{};
    PerCell prior_sd_{};
    std::array<double, max_unknowns * max_unknowns> normal_{};  ///< later its factor
    std::array<double, max_unknowns> right_{};
    std::array<double, max_unknowns> per_twist_{};
};

void Fit::find_masses() {
    bool empty_read = false;
    double mass = 0.0;
    for (const Reading& r : sheet_.readings) {
        if (!usable_weight(r)) continue;
        if (r.load.count == 0) {
            empty_read = true;
            continue;
        }
        const double total = r.load.total_kg();
        if (loaded_ > 0 && std::fabs(total - mass) > 1.0e-9 * mass) masses_differ_ = true;
        mass = total;
        ++loaded_;
    }
    zero_sd_kg_ = (empty_read ? zero_sd_if_read : zero_sd) * division_kg_;
}

/// The span that makes the readings' sum right.
bool Fit::start() {
    const double empty = model_.ratio(model_.empty());
    double shown = 0.0;
    double computed = 0.0;
    for (const Reading& r : sheet_.readings) {
        if (!usable_weight(r) || r.load.count == 0) continue;
        const CellForces forces = model_.forces(r.load);
        if (forces.error != mechanics::DeckError::none) return false;
        shown += r.value;
        computed += model_.ratio(forces) - empty;
    }
    kg_per_ratio_ = computed != 0.0 ? shown / computed : 0.0;
    return kg_per_ratio_ != 0.0 && std::isfinite(kg_per_ratio_);
}

Seen Fit::look_at(const Reading& r) const {
    Seen seen;
    const double own_sd = weight_sd_kg(r, sheet_.instruments, division_kg_, resolution_);
    seen.variance = own_sd * own_sd;
    seen.slope[zero()] = 1.0;
    seen.residual_kg = r.value - zero_kg_;
    if (r.load.count == 0) return seen;

    PerCell slope{};
    const CellForces forces = model_.forces(r.load);
    const double weight = (model_.ratio(forces, slope) - empty_ratio_) * kg_per_ratio_;
    seen.residual_kg -= weight;
    for (int i = 0; i < n_; ++i) {
        const auto at = static_cast<unsigned>(i);
        seen.slope[at] = (slope[at] - empty_slope_[at]) * kg_per_ratio_;
    }
    seen.slope[span()] = weight;
    const CellForces stiffer = model_.forces_on_stiffer_deck(r.load);
    seen.per_log_twist = ((model_.ratio(stiffer) - empty_ratio_) * kg_per_ratio_ - weight) /
                         numbers::log(CornerModel::stiffer);
    seen.valid = forces.error == mechanics::DeckError::none && stiffer.error == mechanics::DeckError::none;

    const double placing = placing_variance(r, forces, seen.valid);
    seen.variance += placing;
    // The same weights everywhere err everywhere alike, which is span; different ones do not.
    if (masses_differ_) {
        const double mass_error = weight * sheet_.instruments.test_weights;
        seen.variance += mass_error * mass_error;
    }
    return seen;
}

/// Variance from where the load really stood. With the gains that the prior stands for and not the present
/// ones: a weight that changed with every step would keep the fit from settling.
double Fit::placing_variance(const Reading& r, const CellForces& forces, bool& valid) const {
    set_gains(prior_mean_);
    const double step = sheet_.instruments.placing_m;
    const double moves[4][2] = {{step, 0.0}, {-step, 0.0}, {0.0, step}, {0.0, -step}};
    const double here = model_.ratio(forces);
    double variance = 0.0;
    for (const auto& move : moves) {
        const CellForces moved = model_.forces(r.load, move[0], move[1]);
        const double change = (model_.ratio(moved) - here) * kg_per_ratio_;
        variance += 0.5 * change * change;
        valid = valid && moved.error == mechanics::DeckError::none;
    }
    set_gains(log_gain_);
    return variance;
}

void Fit::set_gains(const PerCell& log_gain) const {
    for (int i = 0; i < n_; ++i) model_.set_gain(i, numbers::exp(log_gain[static_cast<unsigned>(i)]));
}

/// Normal equations at the present gains, factored.
bool Fit::gather() {
    empty_ratio_ = model_.ratio(model_.empty(), empty_slope_);
    const auto m = static_cast<unsigned>(unknowns());
    normal_ = {};
    right_ = {};
    per_twist_ = {};
    for (unsigned i = 0; i < zero(); ++i) {
        const double weight = 1.0 / (prior_sd_[i] * prior_sd_[i]);
        normal_[i * m + i] += weight;
        right_[i] -= weight * (log_gain_[i] - prior_mean_[i]);
    }
    const double zero_weight = 1.0 / (zero_sd_kg_ * zero_sd_kg_);
    normal_[zero() * m + zero()] += zero_weight;
    right_[zero()] -= zero_weight * zero_kg_;

    for (const Reading& r : sheet_.readings) {
        if (!usable_weight(r)) continue;
        const Seen seen = look_at(r);
        if (!seen.valid || !(seen.variance > 0.0)) return false;
        for (unsigned i = 0; i < m; ++i) {
            const double weighted = seen.slope[i] / seen.variance;
            right_[i] += weighted * seen.residual_kg;
            per_twist_[i] += weighted * seen.per_log_twist;
            for (unsigned j = 0; j <= i; ++j) normal_[i * m + j] += weighted * seen.slope[j];
        }
    }
    return numbers::cholesky(std::span(normal_).first(m * m), unknowns());
}

/// Takes a step of Gauss-Newton and hands the gains to the model. Returns the largest relative change.
double Fit::move(std::span<const double> step) {
    double largest = std::fabs(step[span()]);
    for (int i = 0; i < n_; ++i) {
        const auto at = static_cast<unsigned>(i);
        largest = std::max(largest, std::fabs(step[at]));
        log_gain_[at] = std::clamp(log_gain_[at] + std::clamp(step[at], -longest_step, longest_step),
                                   -most_log_gain, most_log_gain);
    }
    set_gains(log_gain_);
    zero_kg_ += step[zero()];
    kg_per_ratio_ *= numbers::exp(std::clamp(step[span()], -longest_step, longest_step));
    return largest;
}

void Fit::judge_residuals(GainEstimate& result) const {
    const auto m = static_cast<unsigned>(unknowns());
    int index = -1;
    for (const Reading& r : sheet_.readings) {
        ++index;
        if (!usable_weight(r)) continue;
        const Seen seen = look_at(r);
        std::array<double, max_unknowns> answer = seen.slope;
        numbers::forward_substitute(std::span(normal_).first(m * m), unknowns(), answer);
        double explained = 0.0;
        for (unsigned i = 0; i < m; ++i) explained += answer[i] * answer[i];
        const double left = seen.variance - explained;
        // A reading that alone decides a gain is always met: nothing can speak against it.
        if (left < 0.02 * seen.variance) continue;
        const double score = std::fabs(seen.residual_kg) / std::sqrt(left);
        if (score > result.worst_residual) {
            result.worst_residual = score;
            result.worst_reading = index;
        }
    }
}

bool Fit::converge() {
    const auto m = static_cast<unsigned>(unknowns());
    for (int iteration = 0; iteration < most_iterations; ++iteration) {
        if (!gather()) return false;
        std::array<double, max_unknowns> step = right_;
        numbers::solve_factored(std::span(normal_).first(m * m), unknowns(), step);
        for (const double change : step) {
            if (!std::isfinite(change)) return false;
        }
        if (move(step) < converged_step) return true;
    }
    return false;
}

GainEstimate Fit::run() {
    GainEstimate result;
    result.resolution_kg = resolution_;
    result.readings = loaded_;
    if (loaded_ == 0) return result;
    result.outcome = GainEstimate::Outcome::deck;
    if (model_.empty().error != mechanics::DeckError::none || !start()) return result;

    const auto m = static_cast<unsigned>(unknowns());
    result.outcome = GainEstimate::Outcome::not_converged;
    for (int round = 0; round < prior_rounds; ++round) {
        const bool converged = converge();
        result.log_gain = log_gain_;
        if (!converged) return result;
        prior_mean_ = log_gain_;
    }
    if (!gather()) return result;

    result.outcome = GainEstimate::Outcome::done;
    result.kg_per_ratio = kg_per_ratio_;
    result.zero_kg = zero_kg_;
    const std::span factor = std::span(normal_).first(m * m);
    std::array<double, max_unknowns> twist = per_twist_;
    numbers::solve_factored(factor, unknowns(), twist);
    // Of each gain as the indicator sees it, its span included: only so do the readings know it well.
    for (unsigned j = 0; j < zero(); ++j) {
        std::array<double, max_unknowns> column{};
        column[j] = 1.0;
        column[span()] = 1.0;
        numbers::solve_factored(factor, unknowns(), column);
        for (unsigned i = 0; i < zero(); ++i) {
            const double from_twist = (twist[i] + twist[span()]) * (twist[j] + twist[span()]);
            result.covariance[i * zero() + j] =
                column[i] + column[span()] + twist_stiffness_sd * twist_stiffness_sd * from_twist;
        }
    }
    judge_residuals(result);
    return result;
}

bool is_multiple(double value, double step) {
    const double count = value / step;
    return std::fabs(count - std::round(count)) < 1.0e-6;
}

}  // namespace

bool usable_weight(const Reading& r) {
    return r.quantity == Quantity::weight && r.shown == Shown::value && std::isfinite(r.value) &&
           (r.direction == Direction::unstated || r.direction == Direction::increasing) &&
           (r.load.count == 0 || r.load.total_kg() > 0.0);
}

double resolution_kg(const Sheet& sheet, double division_kg) {
    double resolution = division_kg;
    for (const Reading& r : sheet.readings) {
        if (!usable_weight(r)) continue;
        if (resolution == division_kg && !is_multiple(r.value, division_kg)) resolution = division_kg / 10.0;
        if (!is_multiple(r.value, resolution)) return 0.0;
    }
    return resolution;
}

double weight_sd_kg(const Reading& r, const Instruments& instruments, double division_kg,
                    double resolution_kg) {
    if (r.uncertainty > 0.0) return r.uncertainty;
    const double repeat = instruments.repeatability_divisions * division_kg;
    const double rounding = rounding_sd * resolution_kg;
    return std::sqrt(repeat * repeat + rounding * rounding);
}

double gain_tolerance_sd(const scale::Description& description, int cell) {
    const scale::Cell& c = description.cells[static_cast<unsigned>(cell)];
    const double half_widths[] = {c.rated_output_tolerance, c.output_tolerance, c.input_tolerance};
    double sum = 0.0;
    for (const double h : half_widths) sum += h * h / 3.0;
    return std::sqrt(sum);
}

GainEstimate estimate_gains(const scale::Description& description, const Sheet& sheet, CornerModel& model) {
    return Fit(description, sheet, model).run();
}

int find_missing_corners(const scale::Description& description, const Sheet& sheet,
                         std::span<bool, scale::max_cells> missing) {
    // Which nodes the loads enter at, before the deck spreads them: with a little of a prior, what stays near
    // the prior was not seen.
    constexpr double prior = 1.0e-3;
    constexpr double unseen = 0.1;
    const int n = description.cell_count();
    const auto size = static_cast<unsigned>(n);
    CellMatrix normal{};
    for (unsigned i = 0; i < size; ++i) normal[i * size + i] = prior;
    for (const Reading& r : sheet.readings) {
        if (!usable_weight(r) || r.load.count == 0) continue;
        PerCell share{};
        const double total = r.load.total_kg();
        for (int s = 0; s < r.load.count; ++s) {
            const Standing& standing = r.load.standing[static_cast<unsigned>(s)];
            const auto nodes = mechanics::node_shares(description.deck, standing.x_m, standing.y_m);
            for (unsigned i = 0; i < size; ++i) share[i] += nodes[i] * standing.mass_kg / total;
        }
        for (unsigned i = 0; i < size; ++i) {
            for (unsigned j = 0; j <= i; ++j) normal[i * size + j] += share[i] * share[j];
        }
    }
    int count = 0;
    std::fill(missing.begin(), missing.end(), false);
    if (!numbers::cholesky(std::span(normal).first(size * size), n)) return count;
    for (unsigned i = 0; i < size; ++i) {
        PerCell unit{};
        unit[i] = 1.0;
        numbers::solve_factored(std::span(normal).first(size * size), n, unit);
        missing[i] = unit[i] * prior > unseen;
        if (missing[i]) ++count;
    }
    return count;
}

}  // namespace cornerbench::diagnosis
