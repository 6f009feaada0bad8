#include "firmware/numbers/dense.h"

#include <Eigen/Dense>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>
#include <vector>

using namespace cornerbench;
using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

namespace {

RowMajor random_positive_definite(int n, std::mt19937_64& random) {
    std::normal_distribution<double> normal;
    RowMajor root(n, n);
    for (int i = 0; i < n; ++i)
        for (int j = 0; j < n; ++j) root(i, j) = normal(random);
    return root * root.transpose() + RowMajor::Identity(n, n);
}

std::size_t index(int i, int j, int n) {
    return static_cast<std::size_t>(i) * static_cast<std::size_t>(n) + static_cast<std::size_t>(j);
}

std::vector<double> elements(const RowMajor& matrix) {
    return {matrix.data(), matrix.data() + matrix.size()};
}

}  // namespace

TEST_CASE("a hand-worked factor: 4 2 / 2 5 is (2 0 / 1 2) times its transpose", "[numbers]") {
    // Worked by hand: l11 = 2, l21 = 2/2 = 1, l22 = sqrt(5 - 1) = 2. The 99 must not be read.
    std::vector<double> a{4.0, 99.0, 2.0, 5.0};
    REQUIRE(numbers::cholesky(a, 2));
    CHECK(a == std::vector<double>{2.0, 1.0, 1.0, 2.0});
}

TEST_CASE("factor and solution agree with Eigen's LLT", "[numbers]") {
    std::mt19937_64 random(1);
    std::normal_distribution<double> normal;
    for (const int n : {1, 2, 3, 4, 7, 8, 16, 33, 64, 200}) {
        CAPTURE(n);
        const RowMajor matrix = random_positive_definite(n, random);
        Eigen::VectorXd right(n);
        for (int i = 0; i < n; ++i) right(i) = normal(random);

        std::vector<double> a = elements(matrix);
        REQUIRE(numbers::cholesky(a, n));
        const RowMajor lower = matrix.llt().matrixL();
        double largest_difference = 0.0;
        for (int i = 0; i < n; ++i)
            for (int j = 0; j <= i; ++j) {
                const auto at = index(i, j, n);
                const auto mirrored = index(j, i, n);
                largest_difference = std::max(largest_difference, std::abs(a[at] - lower(i, j)));
                REQUIRE(a[at] == a[mirrored]);
            }
        CHECK(largest_difference < 1e-12 * std::sqrt(matrix.norm()));

        std::vector<double> x(right.data(), right.data() + n);
        numbers::forward_substitute(a, n, x);
        double squares = 0.0;
        for (const double y : x) squares += y * y;
        const Eigen::VectorXd reference = matrix.llt().solve(right);
        CHECK(squares == Approx(right.dot(reference)).epsilon(1e-12));

        numbers::back_substitute(a, n, x);
        std::vector<double> in_one_go(right.data(), right.data() + n);
        numbers::solve_factored(a, n, in_one_go);
        CHECK(x == in_one_go);
        const Eigen::Map<const Eigen::VectorXd> solution(x.data(), n);
        CHECK((solution - reference).norm() < 1e-11 * reference.norm());
        CHECK((matrix * solution - right).norm() < 1e-13 * matrix.norm() * solution.norm());
    }
}

TEST_CASE("a matrix that is not positive definite is refused", "[numbers]") {
    const auto refused = [](std::vector<double> a, int n) { return !numbers::cholesky(a, n); };
    CHECK(refused({0.0}, 1));
    CHECK(refused({-1.0}, 1));
    CHECK(refused({std::numeric_limits<double>::infinity()}, 1));
    CHECK(refused({std::numeric_limits<double>::quiet_NaN()}, 1));
    CHECK(refused({1.0, 2.0, 2.0, 1.0}, 2));  // eigenvalues 3 and -1

    // Singular up to rounding: springs between every two of n bodies, none of them tied to the ground, leave
    // one free motion (a graph's Laplacian has the null vector of ones).
    std::mt19937_64 random(2);
    std::uniform_real_distribution<double> stiffness(0.3, 3.0);
    for (int trial = 0; trial < 500; ++trial) {
        const int n = 2 + trial % 15;
        RowMajor laplacian = RowMajor::Zero(n, n);
        for (int i = 0; i < n; ++i)
            for (int j = 0; j < i; ++j) {
                const double k = stiffness(random);
                laplacian(i, i) += k;
                laplacian(j, j) += k;
                laplacian(i, j) = laplacian(j, i) = -k;
            }
        CAPTURE(n, trial);
        REQUIRE(refused(elements(laplacian), n));
        laplacian(n / 2, n / 2) += 1e-6;
        REQUIRE_FALSE(refused(elements(laplacian), n));
    }
}

TEST_CASE("a badly scaled but definite matrix is accepted and solved", "[numbers]") {
    // Hilbert matrix of order 8, condition number 1.5e10; its inverse has integer elements, the first row
    // 64 -2016 20160 -92400 221760 -288288 192192 -51480 (closed form, from memory; Eigen's exactness not
    // needed as the residual of this row is checked first).
    const int n = 8;
    const std::vector<double> inverse_row{64.0,     -2016.0,   20160.0,  -92400.0,
                                          221760.0, -288288.0, 192192.0, -51480.0};
    std::vector<double> a(64);
    for (int i = 0; i < n; ++i)
        for (int j = 0; j < n; ++j) a[index(i, j, n)] = 1.0 / (i + j + 1);
    for (int i = 0; i < n; ++i) {
        double product = 0.0;
        for (int j = 0; j < n; ++j) product += a[index(i, j, n)] * inverse_row[static_cast<std::size_t>(j)];
        REQUIRE(product == Approx(i == 0 ? 1.0 : 0.0).margin(1e-9));
    }
    REQUIRE(numbers::cholesky(a, n));
    std::vector<double> x(8, 0.0);
    x[0] = 1.0;
    numbers::solve_factored(a, n, x);
    for (std::size_t i = 0; i < 8; ++i) CHECK(x[i] == Approx(inverse_row[i]).epsilon(1e-5));
}
