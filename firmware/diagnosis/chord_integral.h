#pragma once

#include <array>
#include <span>

#include "firmware/numbers/arena.h"

/// Evidence over one unknown magnitude.
///
/// As a magnitude runs over its range, the whitened residuals trace a curve, and the density of the readings
/// is exp(apart - |white|^2 / 2) along it. Between two points of the curve both are taken as straight, which
/// makes the integral over the piece a normal probability in closed form; pieces are halved where the curve
/// bends and where it matters, so a magnitude measured to a part in ten thousand costs a dozen more points,
/// not ten thousand. Where the readings jump, no chord spans the gap: each side counts up to its middle.
namespace cornerbench::diagnosis {

/// A curve over u in [0, 1], the magnitude's prior share.
class Curve {
  public:
    /// Whitened residuals and the remaining log density at `u`. False where the scale could not stand.
    virtual bool at(double u, std::span<double> white, double& apart) = 0;

    /// Which unbroken part of the curve the last `at` was on.
    virtual int branch() const { return 0; }

  protected:
    ~Curve() = default;
};

/// The integral over a curve: its logarithm, the best point found, and quantiles of u where they were asked
/// for.
struct ChordResult {
    double log_integral = -1.0e300;
    double best_u = 0.5;
    double best_log_density = -1.0e300;
    /// Largest log density that a closer look might still find.
    double bound = -1.0e300;
    double low_u = 0.0;  ///< 5 % of the posterior below
    double middle_u = 0.5;
    double high_u = 1.0;  ///< 95 % of it below
    int points = 0;
    bool converged = false;  ///< nothing that matters is left to halve
};

/// How far a search goes.
struct ChordEffort {
    int first_points = 9;
    int splits = 24;
    /// Halving ends when nothing can rise within reach of this log density.
    double worth = -1.0e300;
    bool quantiles = false;
    /// A chord is straight enough when the curve leaves it by less than this, in standard uncertainties.
    double straight = 0.03;
};

/// Integrates the density along a curve over u from 0 to 1, in memory from an arena; one at a time.
class ChordIntegral {
  public:
    static constexpr int max_points = 128;
    /// Log density of a place where the scale cannot stand: out of every sum, yet finite.
    static constexpr double impossible = -1.0e12;

    /// For curves of up to `rows` residuals.
    ChordIntegral(numbers::Arena& arena, int rows);

    ChordResult integrate(Curve& curve, int rows, const ChordEffort& effort);

  private:
    /// The curve between two neighbouring points, by their indices, with what its chord says.
    struct Piece {
        int left = 0;
        int right = 0;
        /// Estimated distance of curve and chord in the middle; with a jump, how far a side may yet go.
        double bend = 0.0;
        double log_value = 0.0;
        double bound = 0.0;
        double peak_t = 0.5;
        double peak = 0.0;
    };

    /// The log density along a chord: constant + slope t - half_square t^2.
    struct Parabola {
        double constant = 0.0;
        double slope = 0.0;
        double half_square = 0.0;
        double log_area(double to) const;  ///< over [0, to]
    };

    int add_point(Curve& curve, double u);
    Parabola along(const Piece& piece) const;
    bool stands(int point) const { return apart_[point] > 0.5 * impossible; }
    bool same_branch(int a, int b) const { return branch_[a] == branch_[b]; }
    /// True when the readings jump on the piece.
    bool jumps(const Piece& piece) const {
        return stands(piece.left) && stands(piece.right) && !same_branch(piece.left, piece.right);
    }
    double distance(int a, int b) const;
    double log_density(int point) const;
    /// Of a piece's end, when what follows may be as far away as the piece's bend.
    double bound_near(int point, double bend) const;
    /// Logarithm of the integral over a piece's share [0, to], for a piece of unit width.
    double log_area(const Piece& piece, double to) const;
    void measure(Piece& piece) const;
    double bend_between(int left, int middle, int right) const;
    /// Bend of the piece from `left` to the next of the first `points`.
    double first_bend(int left, int points) const;
    /// Bend of the part from `end` to `middle`, a `share` of what went on to `beyond` with `bend`.
    double bend_of_part(int end, int middle, int beyond, double share, double bend) const;
    double total() const;
    void fill_quantiles(ChordResult& result);

    std::span<double> white_of(int point) { return white_.subspan(point * capacity_, rows_); }
    std::span<const double> white_of(int point) const { return white_.subspan(point * capacity_, rows_); }

    int capacity_ = 0;
    int rows_ = 0;
    int points_ = 0;
    int pieces_ = 0;
    std::array<double, max_points> u_{};
    std::array<double, max_points> apart_{};
    std::array<int, max_points> branch_{};
    std::array<Piece, max_points> piece_{};
    std::span<double> white_;
};

}  // namespace cornerbench::diagnosis
