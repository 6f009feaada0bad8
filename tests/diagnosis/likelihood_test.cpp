#include <catch2/catch.hpp>

#include <Eigen/Dense>
#include <random>

#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/diagnosis_bench.h"
#include "tests/diagnosis/forward_chain.h"
#include "tests/diagnosis/sheets.h"

// The likelihood by blocks against Eigen's dense one: a normal density of all measured rows with covariance
// R + J J', built row by row from the predictor's means and slopes.

using namespace cornerbench;
using oracle::DiagnosisBench;

namespace {

constexpr double log_2pi = 1.8378770664093454836;

struct Dense {
    Eigen::VectorXd residual;
    Eigen::MatrixXd covariance;

    double log_density() const {
        const Eigen::LLT<Eigen::MatrixXd> factor(covariance);
        const Eigen::VectorXd white = factor.matrixL().solve(residual);
        double half_log_determinant = 0.0;
        for (Eigen::Index i = 0; i < residual.size(); ++i) {
            half_log_determinant += std::log(factor.matrixLLT()(i, i));
        }
        return -0.5 * white.squaredNorm() - half_log_determinant -
               0.5 * log_2pi * static_cast<double>(residual.size());
    }

    /// Without row `out`.
    Dense without(Eigen::Index out) const {
        Dense less;
        const Eigen::Index n = residual.size() - 1;
        less.residual.resize(n);
        less.covariance.resize(n, n);
        for (Eigen::Index i = 0; i < n; ++i) {
            const Eigen::Index from = i < out ? i : i + 1;
            less.residual(i) = residual(from);
            for (Eigen::Index j = 0; j < n; ++j)
                less.covariance(i, j) = covariance(from, j < out ? j : j + 1);
        }
        return less;
    }
};

Dense dense(DiagnosisBench& bench) {
    const Eigen::Index n = bench.rows.measured;
    const int columns = bench.predictor.columns().count();
    Eigen::MatrixXd jacobian(n, columns);
    Dense d;
    d.residual.resize(n);
    d.covariance = Eigen::MatrixXd::Zero(n, n);
    for (Eigen::Index i = 0; i < n; ++i) {
        const diagnosis::Row& row = bench.rows.row[static_cast<unsigned>(i)];
        std::vector<double> slopes(columns);
        bench.predictor.slopes(row, slopes);
        for (int k = 0; k < columns; ++k) jacobian(i, k) = slopes[static_cast<unsigned>(k)];
        d.residual(i) = row.value - bench.predictor.mean(row);
        d.covariance(i, i) = row.variance;
    }
    d.covariance += jacobian * jacobian.transpose();
    return d;
}

/// The sheet as a specimen with `fault` would fill it in, each value a few uncertainties off.
std::vector<diagnosis::Reading> filled_in(const scale::Description& d, std::vector<diagnosis::Reading> sheet,
                                          const scale::Fault& fault, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal;
    const std::vector<double> values =
        oracle::ForwardChain(d, sheet, diagnosis::Zeroed::before).values(oracle::sound_specimen(d), fault);
    for (std::size_t i = 0; i < sheet.size(); ++i) {
        diagnosis::Reading& r = sheet[i];
        switch (r.quantity) {
            case diagnosis::Quantity::weight:
                r.value = values[i] + 20.0 * normal(random);
                break;
            case diagnosis::Quantity::resistance:
                r.value = std::exp(values[i] + 0.01 * normal(random));
                break;
            case diagnosis::Quantity::excitation:
                r.value = values[i] * (1.0 + 0.005 * normal(random));
                break;
            default:
                r.value = values[i] + (r.is_ratio ? 1.0e-6 : 1.0e-5) * normal(random);
                break;
        }
    }
    return sheet;
}

scale::Fault fault_of(const scale::Description& d, scale::Cause cause, int site, double share,
                      int variant = 0) {
    scale::Fault fault{cause, scale::site_at(d, cause, site), scale::variant_at(d, cause, variant), {}};
    const scale::Magnitudes m = scale::magnitudes_of(d, cause, fault.site);
    for (unsigned k = 0; k < static_cast<unsigned>(m.count); ++k) {
        fault.magnitude[k] = diagnosis::magnitude_at(m.of[k], share);
    }
    return fault;
}

/// One fault for each part of a prediction that a fault can move: nothing, one cell, two, forces, supply.
std::vector<scale::Fault> one_of_each(const scale::Description& d) {
    using scale::Cause;
    std::vector<scale::Fault> faults{{},
                                     fault_of(d, Cause::loose_terminal, 1, 0.6, 2),
                                     fault_of(d, Cause::damaged_arm, 0, 0.55),
                                     fault_of(d, Cause::wrong_cell, 2, 0.4),
                                     fault_of(d, Cause::swapped_cells, 4, 0.5),
                                     fault_of(d, Cause::settled_footing, 3, 0.3),
                                     fault_of(d, Cause::rubbing, 1, 0.5),
                                     fault_of(d, Cause::bound_support, 0, 0.2),
                                     fault_of(d, Cause::excitation_low, 0, 0.8)};
    if (scale::possible(d, Cause::sense_open)) faults.push_back(fault_of(d, Cause::sense_open, 0, 0.5));
    if (scale::possible(d, Cause::trim_off)) faults.push_back(fault_of(d, Cause::trim_off, 1, 0.7));
    return faults;
}

double by_blocks(DiagnosisBench& bench, const diagnosis::Touched& touched, const scale::Fault& fault) {
    REQUIRE(bench.likelihood.choose(touched));
    REQUIRE(bench.predictor.set(fault));
    REQUIRE(bench.likelihood.factor());
    std::vector<double> white(static_cast<unsigned>(bench.rows.measured));
    const int n = bench.likelihood.whiten(white);
    double log_density = bench.likelihood.log_density_apart();
    for (unsigned i = 0; i < static_cast<unsigned>(n); ++i) log_density -= 0.5 * white[i] * white[i];
    return log_density;
}

}  // namespace

TEST_CASE("The log density by blocks is the dense normal one, for every part that a fault can move",
          "[long]") {
    std::uint64_t seed = 1;
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        const scale::Description& d = named.description;
        for (const scale::Fault& fault : one_of_each(d)) {
            DiagnosisBench bench(d, filled_in(d, oracle::every_reading(d, 8000.0, 2), fault, ++seed));
            REQUIRE(bench.prepare());
            const diagnosis::Touched touched = diagnosis::touched_by(fault);
            const double blocks = by_blocks(bench, touched, fault);
            const double whole = dense(bench).log_density();
            CAPTURE(named.name, scale::name_of(fault.cause), bench.likelihood.moved_rows(),
                    bench.rows.measured);
            const auto same = Approx(whole).margin(touched.forces ? 1.0e-2 : 1.0e-6).epsilon(0.0);
            CHECK(blocks == same);

            // Moving more rows than the fault needs must not matter.
            diagnosis::Touched more = touched;
            more.forces = true;
            more.supply = true;
            CHECK(by_blocks(bench, more, fault) == same);
            CHECK(bench.likelihood.moved_rows() > bench.rows.measured / 3);

            // And so through the one door that the ranking uses.
            CHECK(bench.evidence.log_density(fault) == same);
        }
    }
}

TEST_CASE("Rows that a fault leaves alone keep their means and slopes under it") {
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        const scale::Description& d = named.description;
        DiagnosisBench bench(d, oracle::every_reading(d, 8000.0, 2));
        REQUIRE(bench.prepare());
        const int columns = bench.predictor.columns().count();
        for (const scale::Fault& fault : one_of_each(d)) {
            const diagnosis::Touched touched = diagnosis::touched_by(fault);
            for (int i = 0; i < bench.rows.measured; ++i) {
                const diagnosis::Row& row = bench.rows.row[static_cast<unsigned>(i)];
                if (bench.predictor.moves(row, touched)) continue;
                std::vector<double> sound(columns);
                std::vector<double> faulty(columns);
                REQUIRE(bench.predictor.set({}));
                const double mean = bench.predictor.mean(row);
                bench.predictor.slopes(row, sound);
                REQUIRE(bench.predictor.set(fault));
                // A bridge's resistances follow its load by parts in a hundred thousand, where an ohmmeter is
                // good to five in a thousand: left out on purpose.
                CHECK(bench.predictor.mean(row) == Approx(mean).margin(2.0e-5).epsilon(0.0));
                bench.predictor.slopes(row, faulty);
                double off = 0.0;
                double size = 0.0;
                for (unsigned k = 0; k < sound.size(); ++k) {
                    off = std::max(off, std::fabs(faulty[k] - sound[k]));
                    size = std::max(size, std::fabs(sound[k]));
                }
                CHECK(off <= 1.0e-3 * size);
            }
        }
    }
}

TEST_CASE("Leaving a row out is what it says: the density without it, and its residual given the others") {
    const scale::Description d = oracle::trimmed_scale(6);
    for (const scale::Fault& fault : one_of_each(d)) {
        DiagnosisBench bench(d, filled_in(d, oracle::every_reading(d, 8000.0, 3), fault, 77));
        REQUIRE(bench.prepare());
        bench.evidence.log_density(fault);
        const Dense whole = dense(bench);
        const double log_density = whole.log_density();
        const auto n = static_cast<unsigned>(bench.rows.measured);
        std::vector<double> alone(n);
        std::vector<double> gain(n);
        bench.likelihood.leave_one_out(alone, gain);
        for (unsigned i = 0; i < n; ++i) {
            const auto at = static_cast<Eigen::Index>(i);
            const Dense less = whole.without(at);
            CHECK(gain[i] == Approx(less.log_density() - log_density).margin(1.0e-6).epsilon(0.0));

            Eigen::VectorXd coupling(whole.residual.size() - 1);
            for (Eigen::Index j = 0; j < coupling.size(); ++j) {
                coupling(j) = whole.covariance(at, j < at ? j : j + 1);
            }
            const Eigen::VectorXd weights = less.covariance.llt().solve(coupling);
            const double expected = weights.dot(less.residual);
            const double variance = whole.covariance(at, at) - weights.dot(coupling);
            CHECK(
                alone[i] ==
                Approx((whole.residual(at) - expected) / std::sqrt(variance)).margin(1.0e-5).epsilon(1.0e-5));
        }
    }
}

TEST_CASE("Covariance and residuals are those of the dense form, in the order of the rows") {
    const scale::Description d = oracle::per_cell_scale(6);
    for (const scale::Fault& fault : one_of_each(d)) {
        DiagnosisBench bench(d, filled_in(d, oracle::every_reading(d, 8000.0, 2), fault, 5));
        REQUIRE(bench.prepare());
        bench.evidence.log_density(fault);
        const Dense whole = dense(bench);
        const auto n = static_cast<unsigned>(bench.rows.measured);
        std::vector<double> covariance(n * n);
        bench.likelihood.covariance(covariance);
        std::vector<double> residual(n);
        std::vector<double> uncertainty(n);
        double off = 0.0;
        for (unsigned i = 0; i < n; ++i) {
            for (unsigned j = 0; j < n; ++j) {
                const double scale = std::sqrt(whole.covariance(i, i) * whole.covariance(j, j));
                off = std::max(off, std::fabs(covariance[i * n + j] - whole.covariance(i, j)) / scale);
            }
        }
        CHECK(off < 1.0e-5);
        bench.likelihood.residuals(residual, uncertainty);
        for (unsigned i = 0; i < n; ++i) {
            CHECK(residual[i] == Approx(whole.residual(i)));
            CHECK(uncertainty[i] == Approx(std::sqrt(whole.covariance(i, i))));
        }
    }
}

TEST_CASE("Spread deviations widen every row by so many of its uncertainties, independently") {
    const scale::Description d = oracle::trimmed_scale(4);
    DiagnosisBench bench(d, filled_in(d, oracle::every_reading(d, 8000.0, 2), {}, 9));
    REQUIRE(bench.prepare());
    REQUIRE(bench.predictor.set({}));
    const Dense sound = dense(bench);
    for (const double times : {0.0, 3.0, 100.0}) {
        Dense spread = sound;
        for (Eigen::Index i = 0; i < spread.residual.size(); ++i) {
            spread.covariance(i, i) += times * times * sound.covariance(i, i);
        }
        CHECK(bench.likelihood.log_density_spread(times) ==
              Approx(spread.log_density()).margin(1.0e-6).epsilon(0.0));
    }
}
