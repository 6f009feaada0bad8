#include "firmware/numbers/polynomial_fit.h"

#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <vector>

#include "tests/random_scale.h"

using namespace cornerbench;
using numbers::fit_polynomial;
using numbers::FitError;

namespace {

/// NIST Statistical Reference Datasets, linear regression, "Pontius": calibration of a load cell, 20 loads
/// put on twice; x load, y deflection.
constexpr double pontius_y[40] = {0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487,
                                  0.98292, 1.09146, 1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947,
                                  1.84646, 1.95392, 2.06128, 2.16844, 0.11052, 0.22018, 0.32939, 0.43886,
                                  0.54798, 0.65739, 0.76596, 0.87474, 0.98300, 1.09150, 1.20004, 1.30818,
                                  1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829};

std::vector<double> pontius_x() {
    std::vector<double> x;
    for (int run = 0; run < 2; ++run)
        for (int i = 1; i <= 20; ++i) x.push_back(150000.0 * i);
    return x;
}

double relative_error(double ours, double certified) {
    return std::fabs(ours / certified - 1.0);
}

}  // namespace

TEST_CASE("NIST's load cell calibration is fitted to its certified digits", "[numbers][weighing]") {
    const auto fit = fit_polynomial(pontius_x(), pontius_y, {}, 2);
    REQUIRE(fit.error == FitError::none);
    CHECK(fit.degrees_of_freedom == 37);
    // NIST StRD, Pontius, certified values.
    CHECK(relative_error(fit.coefficient[0], 0.673565789473684E-03) <= 1.0e-9);
    CHECK(relative_error(fit.coefficient[1], 0.732059160401003E-06) <= 1.0e-9);
    CHECK(relative_error(fit.coefficient[2], -0.316081871345029E-14) <= 1.0e-9);
    CHECK(relative_error(fit.coefficient_sd[0], 0.107938612033077E-03) <= 1.0e-8);
    CHECK(relative_error(fit.coefficient_sd[1], 0.157817399981659E-09) <= 1.0e-8);
    CHECK(relative_error(fit.coefficient_sd[2], 0.486652849992036E-16) <= 1.0e-8);
    CHECK(relative_error(fit.residual_sd, 0.205177424076185E-03) <= 1.0e-8);
}

TEST_CASE("Fits agree with a linear algebra library's in more digits", "[numbers][weighing]") {
    // Eigen's Householder QR in long double; coefficients and their standard deviations.
    using Matrix = Eigen::Matrix<long double, Eigen::Dynamic, Eigen::Dynamic>;
    using Vector = Eigen::Matrix<long double, Eigen::Dynamic, 1>;
    tests::Draw draw(21);
    for (int round = 0; round < 500; ++round) {
        const int degree = draw.integer(0, numbers::max_fit_degree);
        const int n = draw.integer(degree + 2, 12);
        std::vector<double> x;
        std::vector<double> y;
        std::vector<double> w;
        Matrix a(n, degree + 1);
        Vector b(n);
        for (int i = 0; i < n; ++i) {
            x.push_back(i + draw.uniform(0.0, 0.5));
            y.push_back(draw.uniform(-100.0, 100.0));
            w.push_back(draw.log_uniform(0.1, 10.0));
            const long double root = std::sqrt(static_cast<long double>(w.back()));
            for (int j = 0; j <= degree; ++j)
                a(i, j) = root * std::pow(static_cast<long double>(x.back()), j);
            b(i) = root * static_cast<long double>(y.back());
        }
        const Vector best = a.colPivHouseholderQr().solve(b);
        const long double variance = (b - a * best).squaredNorm() / (n - degree - 1);
        const Matrix inverse = (a.transpose() * a).inverse();

        const auto fit = fit_polynomial(x, y, w, degree);
        REQUIRE(fit.error == FitError::none);
        REQUIRE(relative_error(fit.residual_sd, static_cast<double>(std::sqrt(variance))) <= 1.0e-11);
        for (int j = 0; j <= degree; ++j) {
            const auto at = static_cast<std::size_t>(j);
            const auto sd = static_cast<double>(std::sqrt(variance * inverse(j, j)));
            REQUIRE(std::fabs(fit.coefficient[at] - static_cast<double>(best(j))) <= 1.0e-11 * sd);
            REQUIRE(relative_error(fit.coefficient_sd[at], sd) <= 1.0e-9);
        }
    }
}

TEST_CASE("A weight of three counts as the point three times over", "[numbers][weighing]") {
    const double x[] = {0.0, 1.0, 2.0, 4.0};
    const double y[] = {0.1, 0.9, 2.2, 3.9};
    const double w[] = {1.0, 3.0, 1.0, 2.0};
    const double x_over[] = {0.0, 1.0, 1.0, 1.0, 2.0, 4.0, 4.0};
    const double y_over[] = {0.1, 0.9, 0.9, 0.9, 2.2, 3.9, 3.9};
    const auto weighted = fit_polynomial(x, y, w, 1);
    const auto repeated = fit_polynomial(x_over, y_over, {}, 1);
    CHECK(weighted.at(3.0) == Approx(repeated.at(3.0)).epsilon(1e-14));
    CHECK(weighted.degrees_of_freedom == 2);
    CHECK(repeated.degrees_of_freedom == 5);
}

TEST_CASE("Points without freedom are met exactly and claim no spread", "[numbers][weighing]") {
    const double x[] = {1.0, 2.0, 5.0};
    const double y[] = {7.0, 3.0, 11.0};
    const auto fit = fit_polynomial(x, y, {}, 2);
    REQUIRE(fit.error == FitError::none);
    for (int i = 0; i < 3; ++i) CHECK(fit.at(x[i]) == Approx(y[i]).epsilon(1e-14));
    CHECK(fit.degrees_of_freedom == 0);
    CHECK(fit.residual_sd == 0.0);
    CHECK(fit.coefficient_sd[2] == 0.0);
}

TEST_CASE("Points that determine nothing are named", "[numbers][weighing]") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const double infinity = std::numeric_limits<double>::infinity();
    const std::vector<double> x{1.0, 2.0, 2.0};
    const std::vector<double> y{1.0, 2.0, 3.0};
    CHECK(fit_polynomial(x, y, {}, 1).error == FitError::none);
    CHECK(fit_polynomial(x, y, {}, 2).error == FitError::too_few_points);
    CHECK(fit_polynomial({}, {}, {}, 0).error == FitError::too_few_points);
    CHECK(fit_polynomial(x, y, {}, -1).error == FitError::bad_degree);
    CHECK(fit_polynomial(x, y, {}, numbers::max_fit_degree + 1).error == FitError::bad_degree);
    CHECK(fit_polynomial(x, std::vector{1.0}, {}, 1).error == FitError::lengths_differ);
    CHECK(fit_polynomial(x, y, std::vector{1.0}, 1).error == FitError::lengths_differ);
    CHECK(fit_polynomial(std::vector{1.0, nan, 2.0}, y, {}, 1).error == FitError::not_finite);
    CHECK(fit_polynomial(x, std::vector{1.0, 2.0, infinity}, {}, 1).error == FitError::not_finite);
    for (const double w : {0.0, -1.0, nan, infinity})
        CHECK(fit_polynomial(x, y, std::vector{1.0, 1.0, w}, 1).error == FitError::bad_weight);
    CHECK(fit_polynomial(x, y, std::vector{1.0, 1.0, 0.0}, 1).coefficient[1] == 0.0);
}
