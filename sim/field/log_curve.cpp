#include "sim/field/log_curve.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::field {

namespace {

constexpr int most_rounds = 60;
/// Pieces narrower than this are not parted: what is left is the last digits.
constexpr double narrowest = 1.0e-12;
constexpr double no_log = -1.0e290;

double log_sum(double a, double b) {
    const double top = std::max(a, b);
    return top < no_log ? top : top + std::log(std::exp(a - top) + std::exp(b - top));
}

/// (exp(x) - 1) / x.
double mean_growth(double x) {
    return std::fabs(x) < 1.0e-8 ? 1.0 + 0.5 * x : std::expm1(x) / x;
}

}  // namespace

LogCurve::LogCurve(const std::function<double(double)>& log_density, std::span<const double> also,
                   const Effort& effort) {
    std::vector<double> at(also.begin(), also.end());
    for (int i = 0; i < effort.first_points; ++i) at.push_back(i / (effort.first_points - 1.0));
    std::sort(at.begin(), at.end());
    at.erase(std::unique(at.begin(), at.end()), at.end());
    for (const double u : at) points_.push_back({u, log_density(u)});
    sum_up();
    for (int round = 0; round < most_rounds; ++round) {
        std::vector<Point> closer;
        for (std::size_t i = 0; i + 1 < points_.size(); ++i) {
            closer.push_back(points_[i]);
            const Point& a = points_[i];
            const Point& b = points_[i + 1];
            const double width = b.u - a.u;
            // What a straight line would hold, and what the higher end would.
            const double most = std::log(width) + std::max(a.log_density, b.log_density);
            if (width > narrowest && most - log_area_ > std::log(effort.finest_share)) {
                const double middle = 0.5 * (a.u + b.u);
                closer.push_back({middle, log_density(middle)});
            }
        }
        closer.push_back(points_.back());
        if (closer.size() == points_.size()) break;
        points_ = std::move(closer);
        sum_up();
        if (static_cast<int>(points_.size()) > effort.most_points) break;
    }
}

double LogCurve::log_piece(const Point& a, const Point& b) const {
    const double width = b.u - a.u;
    if (!(width > 0.0)) return -1.0e300;
    const Point& low = a.log_density < b.log_density ? a : b;
    const Point& high = a.log_density < b.log_density ? b : a;
    return std::log(width) + high.log_density + std::log(mean_growth(low.log_density - high.log_density));
}

void LogCurve::sum_up() {
    log_area_ = -1.0e300;
    for (std::size_t i = 0; i + 1 < points_.size(); ++i) {
        log_area_ = log_sum(log_area_, log_piece(points_[i], points_[i + 1]));
    }
}

double LogCurve::share_below(double u) const {
    double sum = 0.0;
    for (std::size_t i = 0; i + 1 < points_.size(); ++i) {
        const Point& a = points_[i];
        const Point& b = points_[i + 1];
        if (b.u <= u) {
            sum += std::exp(log_piece(a, b) - log_area_);
            continue;
        }
        if (u > a.u) {
            const double part = (u - a.u) / (b.u - a.u);
            const Point cut{u, a.log_density + part * (b.log_density - a.log_density)};
            sum += std::exp(log_piece(a, cut) - log_area_);
        }
        break;
    }
    return std::min(sum, 1.0);
}

double LogCurve::quantile(double share) const {
    double low = 0.0;
    double high = 1.0;
    for (int i = 0; i < 60; ++i) {
        const double middle = 0.5 * (low + high);
        (share_below(middle) < share ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

double LogCurve::mean(const std::function<double(double)>& f) const {
    double sum = 0.0;
    for (std::size_t i = 0; i + 1 < points_.size(); ++i) {
        const Point& a = points_[i];
        const Point& b = points_[i + 1];
        sum += std::exp(log_piece(a, b) - log_area_) * 0.5 * (f(a.u) + f(b.u));
    }
    return sum;
}

std::vector<double> closing_in_on(double u) {
    std::vector<double> points{u};
    for (double step = 0.1; step > 1.0e-8; step *= 0.3) {
        for (const double at : {u - step, u + step}) {
            if (at > 0.0 && at < 1.0) points.push_back(at);
        }
    }
    return points;
}

}  // namespace cornerbench::field
