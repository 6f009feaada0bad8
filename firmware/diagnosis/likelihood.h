#pragma once

#include <span>

#include "firmware/diagnosis/predictor.h"
#include "firmware/diagnosis/rows.h"
#include "firmware/numbers/arena.h"

namespace cornerbench::diagnosis {

/// How well a fault explains a sheet's measured values.
///
/// The residuals of all measured rows are Gaussian around the prediction with covariance R + J J': R of the
/// measurements, J of everything never known exactly, linearised. Rows that a fault cannot move keep their
/// residuals and their block of the covariance, which is factored once for all faults that leave them alone;
/// the rest follows by block elimination. The product is the density of *all* values, so faults that touch
/// different rows compare.
class Likelihood {
  public:
    Likelihood(numbers::Arena& arena, Predictor& predictor, const Rows& rows);

    /// Residuals and slopes of the healthy scale; after `Predictor::prepare`. False when the covariance
    /// fails.
    [[nodiscard]] bool prepare();

    /// Chooses the rows that `touched` moves, and factors the others.
    [[nodiscard]] bool choose(const Touched& touched);

    /// Linearises and factors at the predictor's present fault, for `choose`'s rows.
    [[nodiscard]] bool factor();

    /// False when there is none, or when something else has taken its memory.
    bool has_factor() const { return has_factor_; }

    /// Keeps the last factor beside, and takes the kept one as the last; for the rows chosen when it was
    /// kept.
    void keep_factor();
    void recall_factor();

    /// Whitened residuals of the moved rows at the predictor's present fault with the last factor; returns
    /// their number. Call `factor` first, at this fault or at one near it.
    int whiten(std::span<double> out);

    /// Part of the log density that does not depend on the whitened residuals, with the last factor: the log
    /// density of the sheet is this minus half the sum of their squares.
    double log_density_apart() const;

    /// Sum of squares of the whitened residuals of the rows that the chosen fault leaves alone.
    double still_misfit() const;

    int moved_rows() const { return moved_count_; }
    int rows() const { return rows_.measured; }
    const Row& row(int index) const { return rows_.row[index]; }
    int columns() const { return columns_; }

    /// Residual of each measured row at the predictor's present fault, value less prediction, and its total
    /// standard uncertainty; rows in `Rows` order.
    void residuals(std::span<double> residual, std::span<double> uncertainty);

    /// Standardised residual of each measured row given all other rows, the change of the log density when
    /// that row is left out, and on demand the standard uncertainty of the row given the others; after
    /// `factor` at the present fault.
    void leave_one_out(std::span<double> standardised, std::span<double> log_density_gain,
                       std::span<double> uncertainty = {});

    /// Log density of the measured rows when every residual of the healthy scale is spread by `times` its
    /// standard uncertainty, independently, on top of what is known.
    double log_density_spread(double times);

    /// Covariance of all measured rows at the predictor's present fault, into n x n `out`. Like the two above
    /// it takes the factor's memory: `factor` anew before the next `whiten`.
    void covariance(std::span<double> out);

  private:
    void moved_slopes();
    /// Products of the still rows' slopes with the moved rows', n x m, and of the moved rows' among
    /// themselves, m x m with its lower triangle.
    void still_products(std::span<double> out) const;
    void moved_products(std::span<double> out) const;
    double slope_product(int row_a, int row_b) const;

    Predictor& predictor_;
    const Rows& rows_;
    int columns_ = 0;
    std::span<double> sound_residual_;
    std::span<double> sound_slopes_;  ///< rows x columns
    std::span<short> still_;          ///< rows that the fault leaves alone
    std::span<short> moved_;
    int still_count_ = 0;
    int moved_count_ = 0;
    std::span<short> filled_;        ///< per row: columns with a slope, in a row of `columns_`
    std::span<short> filled_count_;  ///< per row
    std::span<double> still_factor_;
    std::span<double> still_white_;
    double still_log_ = 0.0;              ///< log density of the still rows
    std::span<double> slopes_by_column_;  ///< of the moved rows: columns x moved
    std::span<double> slope_row_;
    std::span<double> coupling_;  ///< still x moved, whitened by the still factor
    std::span<double> moved_factor_;
    double moved_log_ = 0.0;  ///< minus half the log determinant of the moved rows, and their 2 pi
    std::span<double> scratch_;
    std::span<double> kept_coupling_;
    std::span<double> kept_factor_;
    double kept_log_ = 0.0;
    bool has_factor_ = false;
};

}  // namespace cornerbench::diagnosis
