#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <vector>

#include "firmware/diagnosis/chord_integral.h"

// The integral over chords against plain quadrature with a great many points, and against closed forms.

using namespace cornerbench;
using diagnosis::ChordEffort;
using diagnosis::ChordResult;

namespace {

/// One residual per function, and the remaining log density.
struct Shape {
    std::string name;
    std::vector<std::function<double(double)>> white;
    std::function<double(double)> apart = [](double) { return 0.0; };
    std::function<bool(double)> stands = [](double) { return true; };
    std::function<int(double)> branch = [](double) { return 0; };

    double log_density(double u) const {
        double sum = apart(u);
        for (const auto& w : white) sum -= 0.5 * w(u) * w(u);
        return sum;
    }
};

class ShapeCurve final : public diagnosis::Curve {
  public:
    explicit ShapeCurve(const Shape& shape) : shape_(shape) {}
    bool at(double u, std::span<double> white, double& apart) override {
        ++calls;
        if (!shape_.stands(u)) return false;
        for (std::size_t i = 0; i < shape_.white.size(); ++i) white[i] = shape_.white[i](u);
        apart = shape_.apart(u);
        branch_ = shape_.branch(u);
        return true;
    }
    int branch() const override { return branch_; }
    int calls = 0;

  private:
    int branch_ = 0;
    const Shape& shape_;
};

ChordEffort second_look() {
    return {9, 40, -1.0e300, true};
}

ChordResult by_chords(const Shape& shape, const ChordEffort& effort = second_look()) {
    std::vector<double> memory(diagnosis::ChordIntegral::max_points * shape.white.size() + 8);
    numbers::Arena arena(memory);
    diagnosis::ChordIntegral integral(arena, static_cast<int>(shape.white.size()));
    ShapeCurve curve(shape);
    const ChordResult r = integral.integrate(curve, static_cast<int>(shape.white.size()), effort);
    CHECK(r.points == curve.calls);
    CHECK(r.points <= effort.first_points + effort.splits);
    return r;
}

struct Quadrature {
    double log_integral = 0.0;
    double best = -1.0e300;
    double low = 0.0;
    double middle = 0.0;
    double high = 0.0;
};

/// Midpoint rule.
Quadrature by_points(const Shape& shape, int count = 1000000) {
    std::vector<double> log_density(static_cast<std::size_t>(count));
    Quadrature q;
    for (std::size_t i = 0; i < log_density.size(); ++i) {
        const double u = (static_cast<double>(i) + 0.5) / count;
        log_density[i] = shape.stands(u) ? shape.log_density(u) : -1.0e300;
        q.best = std::max(q.best, log_density[i]);
    }
    double sum = 0.0;
    for (const double x : log_density) sum += std::exp(x - q.best);
    q.log_integral = q.best + std::log(sum / count);
    double below = 0.0;
    const auto passes = [&](double share, double after) {
        return below < share * sum && after >= share * sum;
    };
    for (std::size_t i = 0; i < log_density.size(); ++i) {
        const double after = below + std::exp(log_density[i] - q.best);
        const double u = (static_cast<double>(i) + 0.5) / count;
        if (passes(0.05, after)) q.low = u;
        if (passes(0.5, after)) q.middle = u;
        if (passes(0.95, after)) q.high = u;
        below = after;
    }
    return q;
}

Shape line(double centre, double width) {
    return {"line", {[=](double u) { return (u - centre) / width; }}};
}

/// As a logarithmic magnitude moves a reading: flat, then steep.
Shape exponential(double centre, double sigmas, double growth) {
    return {"exponential of " + std::to_string(growth), {[=](double u) {
                return sigmas * (std::exp(growth * (u - 1.0)) - std::exp(growth * (centre - 1.0)));
            }}};
}

/// As a leak or a loose terminal moves a reading: a step between two plateaus.
Shape step(double value, double at, double width, double sigmas) {
    return {
        "step at " + std::to_string(value) + " of " + std::to_string(width) + ", " + std::to_string(sigmas),
        {[=](double u) { return sigmas * (1.0 / (1.0 + std::exp((at - u) / width)) - value); }}};
}

std::vector<Shape> shapes() {
    std::vector<Shape> all;
    for (const double width : {0.3, 0.03, 1.0e-3, 2.0e-5}) all.push_back(line(0.37, width));
    for (const double centre : {0.1, 0.5, 0.9}) {
        for (const double sigmas : {3.0, 300.0, 3.0e4}) {
            for (const double growth : {2.0, 6.9, 13.8}) all.push_back(exponential(centre, sigmas, growth));
        }
    }
    for (const double value : {0.0, 0.02, 0.5, 0.98, 1.0}) {
        for (const double width : {0.02, 0.07}) {
            for (const double sigmas : {2.0, 50.0, 2000.0}) all.push_back(step(value, 0.4, width, sigmas));
        }
    }
    all.push_back({"plateau", {[](double) { return 1.3; }}});
    all.push_back({"half plateau", {[](double u) { return u < 0.5 ? 0.2 : 0.2 + 400.0 * (u - 0.5); }}});
    all.push_back({"two peaks", {[](double u) { return 900.0 * (u - 0.22) * (u - 0.71); }}});
    all.push_back({"circle",
                   {[](double u) { return 6.0 * std::cos(5.0 * u) - 4.0; },
                    [](double u) { return 6.0 * std::sin(5.0 * u) - 4.0; }}});
    all.push_back(
        {"tilted", {[](double u) { return 2.0 * u; }}, [](double u) { return 40.0 * u * u - 3.0; }});
    for (const double edge : {0.003, 0.24999, 0.25, 0.9}) {
        all.push_back({"stands only above",
                       {[](double u) { return 9.0 * (u - 0.3); }},
                       [](double) { return 0.0; },
                       [=](double u) { return u > edge; }});
    }
    all.push_back({"fails above",
                   {[](double u) { return 3.0 * u; }},
                   [](double) { return 0.0; },
                   [](double u) { return u < 0.6251; }});
    all.push_back({"two readings, one straight",
                   {[](double u) { return 800.0 * (u - 0.4); },
                    [](double u) { return 50.0 * (std::exp(3.0 * u) - 3.3); }}});
    return all;
}

}  // namespace

TEST_CASE("A straight curve's integral is a normal probability, however narrow") {
    for (const double centre : {-0.4, 0.0, 0.21, 0.5, 1.0, 1.3}) {
        for (const double width : {1.0, 0.1, 1.0e-3, 1.0e-6}) {
            const double r = 0.70710678118654752440 / width;
            const double share = 0.5 * (std::erf((1.0 - centre) * r) - std::erf(-centre * r));
            if (share < 1.0e-200) continue;
            const double exact = std::log(share * width * 2.50662827463100050242);
            CHECK(by_chords(line(centre, width)).log_integral == Approx(exact).margin(1.0e-9).epsilon(0.0));
        }
    }
    // Nothing read: the prior itself.
    const ChordResult flat = by_chords({"nothing", {}});
    CHECK(flat.log_integral == Approx(0.0).margin(1.0e-12));
    CHECK(flat.low_u == Approx(0.05).margin(1.0e-6));
    CHECK(flat.middle_u == Approx(0.5).margin(1.0e-6));
    CHECK(flat.high_u == Approx(0.95).margin(1.0e-6));
}

TEST_CASE("Curves of every shape integrate to what plain quadrature gives", "[long]") {
    for (const Shape& shape : shapes()) {
        const Quadrature exact = by_points(shape);
        const ChordResult chords = by_chords(shape);
        CAPTURE(shape.name, chords.points, chords.log_integral, exact.log_integral);
        // A curve that passes far from all readings is worth less, and followed less closely.
        const double near_enough = exact.best > -10.0 ? 0.02 : 0.05;
        CHECK(chords.log_integral == Approx(exact.log_integral).margin(near_enough).epsilon(0.0));
        CHECK(chords.best_log_density == Approx(exact.best).margin(0.02).epsilon(0.0));
        CHECK(chords.bound >= chords.best_log_density - 1.0e-9);
        const double width = exact.high - exact.low;
        CHECK(chords.low_u == Approx(exact.low).margin(0.05 * width + 2.0e-6).epsilon(0.0));
        CHECK(chords.middle_u == Approx(exact.middle).margin(0.05 * width + 2.0e-6).epsilon(0.0));
        CHECK(chords.high_u == Approx(exact.high).margin(0.05 * width + 2.0e-6).epsilon(0.0));
    }
}

TEST_CASE("The bound of a first look is never below what a closer look finds") {
    for (const Shape& shape : shapes()) {
        for (const int splits : {0, 3, 10}) {
            const ChordResult glance = by_chords(shape, {7, splits, -1.0e300, false});
            CAPTURE(shape.name, splits, glance.bound, glance.best_log_density);
            CHECK(glance.bound >= by_points(shape, 100000).best - 0.5);
        }
    }
}

TEST_CASE("What lies between the two sides of a jump is no fit") {
    for (const double jump : {0.013, 0.3137, 0.74, 0.991}) {
        for (const double offset : {0.5, 3.0, 8.0}) {
            // A chord over the jump would pass through no residual at all.
            const Shape shape{"jump",
                              {[=](double u) { return u < jump ? 500.0 : -offset; }},
                              [](double) { return 0.0; },
                              [](double) { return true; },
                              [=](double u) { return u < jump ? 1 : 0; }};
            const ChordResult r = by_chords(shape);
            CAPTURE(jump, offset);
            CHECK(r.converged);
            CHECK(r.log_integral == Approx(-0.5 * offset * offset + std::log(1.0 - jump)).margin(0.01));
            CHECK(r.best_log_density == Approx(-0.5 * offset * offset).epsilon(1.0e-12));
            CHECK(r.best_u >= jump);
        }
    }
}

TEST_CASE("A narrow peak beside a jump is found") {
    for (const double jump : {0.05, 0.3137, 0.74}) {
        for (const double beyond : {0.004, 0.05}) {
            const double middle = jump + beyond;
            const double sigma = 1.0e-3;
            const Shape shape{"peak",
                              {[=](double u) { return u < jump ? 2.0e4 : (u - middle) / sigma; }},
                              [](double) { return 0.0; },
                              [](double) { return true; },
                              [=](double u) { return u < jump ? 1 : 0; }};
            const ChordResult r = by_chords(shape);
            CAPTURE(jump, beyond);
            CHECK(r.log_integral == Approx(std::log(sigma * std::sqrt(2.0 * std::acos(-1.0)))).margin(0.01));
            CHECK(r.best_u == Approx(middle).margin(0.1 * sigma));
        }
    }
}

TEST_CASE("More halving comes nearer") {
    const Shape shape{"bent and narrow",
                      {[](double u) { return 4000.0 * (std::exp(2.0 * u) - 2.5); },
                       [](double u) { return 300.0 * (u * u - 0.21); }}};
    const double exact = by_points(shape).log_integral;
    double before = 1.0e300;
    for (const int splits : {2, 8, 32}) {
        const double off = std::fabs(by_chords(shape, {5, splits, -1.0e300, false}).log_integral - exact);
        CHECK(off < std::max(0.5 * before, 1.0e-3));
        before = off;
    }
}

TEST_CASE("A search stops where nothing can come within reach") {
    const Shape far{"far", {[](double u) { return 50.0 + 30.0 * std::sin(9.0 * u); }}};
    const ChordResult all = by_chords(far);
    const ChordResult stopped = by_chords(far, {9, 40, -1.0, true});
    CHECK(stopped.points < all.points);
    CHECK(stopped.bound < -1.0);
}
