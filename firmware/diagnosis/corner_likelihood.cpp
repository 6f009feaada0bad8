#include "firmware/diagnosis/corner_likelihood.h"

#include <cmath>
#include <limits>

#include "firmware/mechanics/deck_springs.h"
#include "firmware/numbers/dense.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

constexpr double square(double x) {
    return x * x;
}

}  // namespace

bool CornerLikelihood::stand(const CornerScale& scale, const PerSupport& mass_kg) {
    scale_ = &scale;
    rows_ = 0;
    return find_shares(scale, mass_kg, factor_, shares_);
}

void CornerLikelihood::begin_rows(double common_uncertainty) {
    rows_ = 0;
    common_variance_ = square(common_uncertainty);
}

void CornerLikelihood::add_row(const CornerRow& row) {
    if (rows_ < scale::max_cells) row_[rows_++] = row;
}

double CornerLikelihood::product(const PerSupport& a, const PerSupport& b) const {
    double sum = 0.0;
    for (int r = 0; r < rows_; ++r) sum += a[r] * b[r];
    return sum;
}

double CornerLikelihood::product_beside_common(const PerSupport& a, const PerSupport& b) const {
    const double by_common = common_variance_ / (1.0 + common_variance_ * unit_square_);
    return product(a, b) - by_common * product(a, unit_) * product(b, unit_);
}

double CornerLikelihood::placing_variance(int i) const {
    const scale::Deck& deck = scale_->deck;
    const int sections = deck.sections;
    const int section = scale::section_of(i, sections);
    const bool far = scale::is_far(i, sections);
    const double across =
        (expected_[i] - expected_[scale::support_at(section, !far, sections)]) / deck.width_m;
    // On an inner section line the slope has a kink: the steeper side, for nobody knows on which it stood.
    double along = 0.0;
    for (const int beside : {section - 1, section + 1}) {
        if (beside < 0 || beside >= sections) continue;
        const double length_m = deck.section_x_m[beside] - deck.section_x_m[section];
        const double slope = (expected_[scale::support_at(beside, far, sections)] - expected_[i]) / length_m;
        if (std::fabs(slope) > std::fabs(along)) along = slope;
    }
    return square(scale_->placing_m) * (square(across) + square(along));
}

void CornerLikelihood::add_structure() {
    const std::size_t springs = mechanics::structure_spring_count(scale_->deck);
    for (std::size_t s = 0; s < springs; ++s) {
        const mechanics::NodeSpring spring = mechanics::structure_spring(scale_->deck, s);
        const double strain = spring.along.of(expected_);
        const double per_share =
            scale_->structure_stiffness * spring.stiffness * strain / scale_->support_stiffness_N_per_m;
        PerSupport change{};
        for (int r = 0; r < rows_; ++r) {
            const int i = row_[r].support;
            double sum = 0.0;
            for (int k = 0; k < 4; ++k) sum += spring.along.weight[k] * shares_.of(i, spring.along.node[k]);
            change[r] = per_share * sum;
        }
        add_outer_product(change);
    }
}

void CornerLikelihood::add_looseness(const PerSupport& gain) {
    for (int l = 0; l < shares_.supports; ++l) {
        PerSupport change{};
        bool loose = false;
        for (int r = 0; r < rows_; ++r) {
            const int i = row_[r].support;
            change[r] = (gain[l] - expected_[i]) * shares_.looseness(i, l);
            loose = loose || change[r] != 0.0;
            factor_[r * rows_ + r] += square(change[r]);
        }
        if (loose) add_outer_product(change);
    }
}

void CornerLikelihood::add_outer_product(const PerSupport& change) {
    for (int r = 0; r < rows_; ++r) {
        for (int q = 0; q <= r; ++q) factor_[r * rows_ + q] += change[r] * change[q];
    }
}

void CornerLikelihood::fill_covariance(const PerSupport& gain) {
    const int n = shares_.supports;
    for (int i = 0; i < n; ++i) {
        expected_[i] = 0.0;
        for (int j = 0; j < n; ++j) expected_[i] += shares_.of(i, j) * gain[j];
    }
    PerSupport per_support{};
    for (int l = 0; l < n; ++l) {
        per_support[l] =
            square(scale_->gain[l] * gain[l]) + square(scale_->support_stiffness * (gain[l] - expected_[l]));
    }
    for (int r = 0; r < rows_; ++r) {
        const int i = row_[r].support;
        for (int q = 0; q <= r; ++q) {
            const int k = row_[q].support;
            double sum = row_[r].zero * row_[q].zero;
            for (int l = 0; l < n; ++l) sum += per_support[l] * shares_.of(i, l) * shares_.of(k, l);
            factor_[r * rows_ + q] = sum;
        }
        double& own = factor_[r * rows_ + r];
        own += row_[r].variance + placing_variance(i);
    }
    add_looseness(gain);
    if (scale_->structure_stiffness > 0.0) add_structure();
}

bool CornerLikelihood::compare(const PerSupport& gain) {
    fill_covariance(gain);
    for (int r = 0; r < rows_; ++r) unit_[r] = expected_[row_[r].support];
    return whiten();
}

bool CornerLikelihood::compare_taken(const PerSupport& gain, const PerSupport& taken, double left_open,
                                     const PerSupport& shift) {
    fill_covariance(gain);
    add_outer_product(shift);
    for (int r = 0; r < rows_; ++r) {
        factor_[r * rows_ + r] += square(left_open * taken[r]);
        unit_[r] = 1.0 - taken[r];
    }
    return whiten();
}

bool CornerLikelihood::whiten() {
    for (int r = 0; r < rows_; ++r) residual_[r] = row_[r].value - unit_[r];
    if (!numbers::cholesky(factor_, rows_)) return false;
    log_determinant_ = 0.0;
    for (int r = 0; r < rows_; ++r) log_determinant_ += 2.0 * numbers::log(factor_[r * rows_ + r]);
    numbers::forward_substitute(factor_, rows_, unit_);
    numbers::forward_substitute(factor_, rows_, residual_);
    unit_square_ = product(unit_, unit_);
    log_determinant_ += numbers::log(1.0 + common_variance_ * unit_square_);
    chi_square_ = product_beside_common(residual_, residual_);
    return true;
}

CornerEstimate CornerLikelihood::along(const PerSupport& change) const {
    PerSupport moved{};
    for (int r = 0; r < rows_; ++r) {
        for (int j = 0; j < shares_.supports; ++j) moved[r] += shares_.of(row_[r].support, j) * change[j];
    }
    return along_rows(moved);
}

CornerEstimate CornerLikelihood::along_rows(PerSupport moved) const {
    numbers::forward_substitute(factor_, rows_, moved);
    const double felt = product(moved, moved);
    const double precision = product_beside_common(moved, moved);
    // What is left of a direction that c explains is rounding.
    constexpr double rounding = 1.0e-12;
    if (!(precision > rounding * felt)) return {0.0, std::numeric_limits<double>::infinity()};
    return {product_beside_common(moved, residual_) / precision, 1.0 / std::sqrt(precision)};
}

CornerEstimate CornerLikelihood::common() const {
    const double precision = 1.0 / common_variance_ + unit_square_;
    return {1.0 + product(unit_, residual_) / precision, 1.0 / std::sqrt(precision)};
}

}  // namespace cornerbench::diagnosis
