#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include "sim/field/fault_draw.h"
#include "sim/field/simulated_sheet.h"
#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/diagnosis_bench.h"

// The evidence over unknown magnitudes against plain quadrature of the likelihood, linearised anew at every
// point, on sheets as they come from the field: noisy, on specimens out of tolerance, full and of weights
// alone.

using namespace cornerbench;
using diagnosis::Evidence;
using oracle::DiagnosisBench;

namespace {

struct FieldCase {
    scale::Fault fault;
    field::SimulatedSheet sheet;
};

FieldCase field_case(const oracle::NamedScale& named, scale::Cause cause, std::uint64_t seed) {
    field::RandomSource random(seed, 5);
    FieldCase c{field::draw_fault_of(named.description, cause, random), {}};
    field::SheetPlan plan;
    if (seed % 2 == 1) {
        plan.input_output = plan.insulation = plan.empty_signals = plan.loaded_signals = plan.channels =
            false;
    }
    c.sheet = field::simulate_sheet(named.description, {&c.fault, 1}, seed, plan);
    return c;
}

/// Sum of exp(log density) times width, kept as a logarithm.
class LogArea {
  public:
    void add(double log_density, double width) { parts_.push_back({log_density, width}); }
    double best() const {
        double most = -1.0e300;
        for (const Part& p : parts_) most = std::max(most, p.log_density);
        return most;
    }
    double log_sum() const {
        const double top = best();
        double sum = 0.0;
        for (const Part& p : parts_) sum += std::exp(p.log_density - top) * p.width;
        return top + std::log(sum);
    }

  private:
    struct Part {
        double log_density;
        double width;
    };
    std::vector<Part> parts_;
};

/// Midpoint rule over one magnitude: 400 cells, each that matters or touches one that does cut in 40.
double by_points(DiagnosisBench& bench, scale::Fault fault, const scale::Magnitude& m) {
    constexpr int cells = 400;
    constexpr int cut = 40;
    const auto log_density = [&](double u) {
        fault.magnitude[0] = diagnosis::magnitude_at(m, u);
        return bench.evidence.log_density(fault);
    };
    std::vector<double> coarse;
    for (int i = 0; i < cells; ++i) coarse.push_back(log_density((i + 0.5) / cells));
    const auto best = std::max_element(coarse.begin(), coarse.end());
    LogArea area;
    for (int i = 0; i < cells; ++i) {
        const auto at = coarse.begin() + i;
        const double near =
            std::max({*at, i > 0 ? *(at - 1) : -1.0e300, i + 1 < cells ? *(at + 1) : -1.0e300});
        if (near < *best - 60.0 && std::abs(at - best) > 2) continue;
        for (int k = 0; k < cut; ++k) {
            area.add(log_density((i + (k + 0.5) / cut) / cells), 1.0 / cells / cut);
        }
    }
    return area.log_sum();
}

/// The same over two: windows of 40 x 40 points, each drawn closer around what the last one found to matter.
double by_windows(DiagnosisBench& bench, const scale::Fault& fault, const scale::Magnitudes& m) {
    constexpr int n = 40;
    struct Window {
        double u_low = 0.0, u_high = 1.0, v_low = 0.0, v_high = 1.0;
        double area() const { return (u_high - u_low) * (v_high - v_low); }
    } window;
    for (int pass = 0;; ++pass) {
        struct Point {
            double u, v, log_density;
        };
        std::vector<Point> points;
        LogArea area;
        const double du = (window.u_high - window.u_low) / n;
        const double dv = (window.v_high - window.v_low) / n;
        for (int i = 0; i < n * n; ++i) {
            const double u = window.u_low + (i % n + 0.5) * du;
            const double v = window.v_low + (i / n + 0.5) * dv;
            scale::Fault at = fault;
            at.magnitude = {diagnosis::magnitude_at(m.of[0], u), diagnosis::magnitude_at(m.of[1], v)};
            points.push_back({u, v, bench.evidence.log_density(at)});
            area.add(points.back().log_density, du * dv);
        }
        const double worth = area.best() - 18.0;
        Window next{1.0, 0.0, 1.0, 0.0};
        for (const Point& p : points) {
            if (p.log_density < worth) continue;
            next.u_low = std::min(next.u_low, std::max(p.u - 1.5 * du, window.u_low));
            next.u_high = std::max(next.u_high, std::min(p.u + 1.5 * du, window.u_high));
            next.v_low = std::min(next.v_low, std::max(p.v - 1.5 * dv, window.v_low));
            next.v_high = std::max(next.v_high, std::min(p.v + 1.5 * dv, window.v_high));
        }
        if (pass == 7 || next.area() > 0.6 * window.area()) return area.log_sum();
        window = next;
    }
}

constexpr double anything_is_worth_a_look = -1.0e200;

struct Accuracy {
    int all = 0;
    int within = 0;
    double farthest = 0.0;
    void add(double off, double near_enough) {
        ++all;
        within += off < near_enough ? 1 : 0;
        farthest = std::max(farthest, off);
    }
};

/// Each cause of one magnitude, once.
void check_one_magnitude(const oracle::NamedScale& named, Accuracy& accuracy) {
    const scale::Description& d = named.description;
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<scale::Cause>(i);
        const scale::Magnitudes m = scale::magnitudes_of(d, cause, scale::site_at(d, cause, 0));
        if (m.count != 1 || !scale::possible(d, cause)) continue;
        const FieldCase c = field_case(named, cause, static_cast<std::uint64_t>(100 + 7 * i + accuracy.all));
        DiagnosisBench bench(d, c.sheet.readings, c.sheet.history, c.sheet.zeroed);
        REQUIRE(bench.prepare());
        const Evidence glance = bench.evidence.glance(c.fault, anything_is_worth_a_look, 0.0);
        const Evidence e = bench.evidence.weigh(glance, anything_is_worth_a_look, anything_is_worth_a_look);
        const double exact = by_points(bench, c.fault, scale::magnitudes_of(d, cause, c.fault.site).of[0]);
        const double off = std::fabs(e.log_evidence - exact);
        CAPTURE(named.name, scale::name_of(cause), c.fault.magnitude[0], glance.log_evidence, e.log_evidence,
                exact);
        // Followed a little less closely: a curve with corners, where a support lifts off, and the far tail
        // of a magnitude that the readings leave wide open.
        CHECK(off < 0.1);
        accuracy.add(off, 0.02);
    }
}

/// Rubbing at places and with magnitudes drawn at random.
void check_two_magnitudes(const oracle::NamedScale& named, Accuracy& accuracy) {
    const scale::Description& d = named.description;
    for (std::uint64_t seed = 0; seed < 5; ++seed) {
        const FieldCase c = field_case(named, scale::Cause::rubbing, seed);
        DiagnosisBench bench(d, c.sheet.readings, c.sheet.history, c.sheet.zeroed);
        REQUIRE(bench.prepare());
        const Evidence glance = bench.evidence.glance(c.fault, anything_is_worth_a_look, 0.0);
        const Evidence e = bench.evidence.weigh(glance, anything_is_worth_a_look, anything_is_worth_a_look);
        const double exact =
            by_windows(bench, c.fault, scale::magnitudes_of(d, scale::Cause::rubbing, c.fault.site));
        CAPTURE(named.name, seed, c.fault.site.index, c.fault.magnitude[0], c.fault.magnitude[1],
                glance.log_evidence, e.log_evidence, exact);
        const double off = std::fabs(e.log_evidence - exact);
        CHECK(off < 1.0);
        accuracy.add(off, 0.2);
    }
}

}  // namespace

TEST_CASE("Evidence over a magnitude is what plain quadrature gives, within two parts in a hundred",
          "[long]") {
    Accuracy accuracy;
    check_one_magnitude({"four cells, trimmed", oracle::trimmed_scale(4)}, accuracy);
    CAPTURE(accuracy.within, accuracy.all, accuracy.farthest);
    CHECK(accuracy.all > 10);
    CHECK(accuracy.within >= accuracy.all - 1);
}

TEST_CASE("Evidence over a contact's stiffness and friction is what plain quadrature gives, nearly") {
    Accuracy accuracy;
    check_two_magnitudes({"four cells, trimmed", oracle::trimmed_scale(4)}, accuracy);
    CAPTURE(accuracy.within, accuracy.all, accuracy.farthest);
    CHECK(accuracy.within >= accuracy.all - 1);
}

TEST_CASE("Evidence is what plain quadrature gives on scales of every make", "[night]") {
    Accuracy one;
    Accuracy two;
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        check_one_magnitude(named, one);
        if (named.description.cell_count() <= 8) check_two_magnitudes(named, two);
    }
    CAPTURE(one.within, one.all, one.farthest, two.within, two.all, two.farthest);
    CHECK(one.all > 60);
    CHECK(one.within >= 0.98 * one.all);
    CHECK(two.within >= 0.9 * two.all);
}

TEST_CASE("Shares of a prior and magnitudes are each other's inverse") {
    const scale::Magnitude even{"", -2.0, 5.0, scale::Spread::uniform, 1.0};
    const scale::Magnitude log_even{"", 1.0e2, 1.0e8, scale::Spread::log_uniform, 1.0};
    for (const double u : {0.0, 0.1, 0.37, 0.5, 0.99, 1.0}) {
        CHECK(diagnosis::magnitude_at(even, u) == Approx(-2.0 + 7.0 * u));
        CHECK(diagnosis::magnitude_at(log_even, u) == Approx(std::pow(10.0, 2.0 + 6.0 * u)));
        CHECK(diagnosis::share_below(even, diagnosis::magnitude_at(even, u)) == Approx(u).margin(1.0e-12));
        CHECK(diagnosis::share_below(log_even, diagnosis::magnitude_at(log_even, u)) ==
              Approx(u).margin(1.0e-12));
    }
}
