#pragma once

#include <functional>
#include <span>
#include <vector>

namespace cornerbench::field {

/// A density over 0 to 1 that is known by its logarithm at points, closer where there is more of it; between
/// two points its logarithm is a straight line.
class LogCurve {
  public:
    /// How closely a curve is looked at.
    struct Effort {
        int first_points = 65;
        /// No piece between two points holds more than this share of all.
        double finest_share = 1.0 / 200.0;
        int most_points = 2000;
    };

    /// `also` are points to begin with beside the even ones.
    LogCurve(const std::function<double(double)>& log_density, std::span<const double> also,
             const Effort& effort);

    /// Logarithm of the area under it.
    double log_area() const { return log_area_; }
    /// Share of the area below `u`.
    double share_below(double u) const;
    /// Point below which this share of the area lies.
    double quantile(double share) const;
    /// Mean of `f` under the curve, f being known at the points and a straight line between them.
    double mean(const std::function<double(double)>& f) const;

  private:
    /// A place of the curve.
    struct Point {
        double u = 0.0;
        double log_density = 0.0;
    };
    double log_piece(const Point& a, const Point& b) const;
    void sum_up();

    std::vector<Point> points_;
    double log_area_ = -1.0e300;
};

/// Points ever closer to `u` from both sides, inside 0 to 1.
std::vector<double> closing_in_on(double u);

}  // namespace cornerbench::field
