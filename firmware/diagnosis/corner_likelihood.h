#pragma once

#include <array>

#include "firmware/diagnosis/corner_scale.h"
#include "firmware/diagnosis/corner_shares.h"

namespace cornerbench::diagnosis {

/// One reading over one support, in parts of the mass there.
struct CornerRow {
    int support = 0;
    double value = 0.0;
    double variance = 0.0;  ///< of this reading alone
    double zero = 0.0;      ///< standard uncertainty by the zero that all rows have in common
};

/// A number with its standard uncertainty.
struct CornerEstimate {
    double value = 0.0;
    double uncertainty = 0.0;
};

/// How well a set of cell gains agrees with corner readings.
///
/// The reading over support i, in parts of its mass, is c sum_j A_ij g_j: A the shares, g_j the gain of cell
/// j against a sound one's (1 sound, -1 against its arrow, 0 dead, between: load lost), c common to all. Its
/// covariance follows from g, by slopes at the described scale. With v = A g: where the mass stood by the
/// slope of v along the deck; a support's stiffness k_l by A_il (g_l - v_l) per relative change; a spring of
/// the deck's structure, stiffness s along b, by s (A b / k)_i (b' v); all of them nothing on a sound scale.
class CornerLikelihood {
  public:
    /// Finds the shares under the given masses, 0 where nothing stands. False when the deck does not stand.
    /// Keeps a pointer to `scale`.
    [[nodiscard]] bool stand(const CornerScale& scale, const PerSupport& mass_kg);

    /// Forgets all rows. `common_uncertainty` is that of c, about 1.
    void begin_rows(double common_uncertainty);
    /// Adds a reading to compare.
    void add_row(const CornerRow& row);
    int rows() const { return rows_; }
    const CornerRow& row(int index) const { return row_[index]; }

    /// Compares the rows with `gain`. False when their covariance is singular or not finite.
    [[nodiscard]] bool compare(const PerSupport& gain);

    /// Compares the rows with a sound scale of which something else takes the share `taken` of each row's
    /// mass, known to a part `left_open` of it and to a change `shift` that the rows have in common. `gain`
    /// is what comes near it, for the covariance alone.
    [[nodiscard]] bool compare_taken(const PerSupport& gain, const PerSupport& taken, double left_open,
                                     const PerSupport& shift);

    // Of the last comparison:

    double log_evidence() const { return -0.5 * (log_determinant_ + chi_square_); }
    double chi_square() const { return chi_square_; }

    /// What the rows say of one more change of the gains, `size` times `change`: the size that fits best.
    /// `uncertainty` is infinite when the rows do not feel it.
    CornerEstimate along(const PerSupport& change) const;
    /// The same of a change of the rows themselves.
    CornerEstimate along_rows(PerSupport change) const;

    /// The gain c that all corners have in common.
    CornerEstimate common() const;

    /// Reading expected over support i, in parts of its mass, and its variance by placing.
    double expected(int i) const { return expected_[i]; }
    double placing_variance(int i) const;

    const CornerShares& shares() const { return shares_; }

  private:
    void fill_covariance(const PerSupport& gain);
    /// The rest of a comparison, after covariance and expected rows (in `unit_`) stand.
    [[nodiscard]] bool whiten();
    void add_structure();
    void add_looseness(const PerSupport& gain);
    /// Adds a change that all rows have in common to their covariance.
    void add_outer_product(const PerSupport& change);
    double product(const PerSupport& a, const PerSupport& b) const;
    /// x'y less what c explains of both.
    double product_beside_common(const PerSupport& a, const PerSupport& b) const;

    const CornerScale* scale_ = nullptr;
    CornerShares shares_;

    std::array<CornerRow, scale::max_cells> row_{};
    int rows_ = 0;
    double common_variance_ = 0.0;

    PerSupport expected_{};
    SupportMatrix factor_{};  ///< rows x rows
    PerSupport unit_{};       ///< whitened change of the rows with c
    PerSupport residual_{};   ///< whitened
    double unit_square_ = 0.0;
    double log_determinant_ = 0.0;
    double chi_square_ = 0.0;
};

}  // namespace cornerbench::diagnosis
