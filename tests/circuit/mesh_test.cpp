#include "firmware/circuit/mesh.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>

#include "tests/circuit/random_circuit.h"

using namespace cornerbench;
using namespace cornerbench::oracle;
using circuit::Mesh;

namespace {

constexpr int nodes = 12;
constexpr int kept = 5;

/// 113 bits of mantissa: the subtractions of a textbook Schur complement lose up to 18 digits at the spreads
/// tried here and still leave a double's worth.
__extension__ typedef __float128 Quad;

struct Network {
    std::array<std::array<double, nodes>, nodes> siemens{};

    Mesh<nodes> mesh() const {
        Mesh<nodes> m;
        for (unsigned a = 0; a < nodes; ++a) {
            for (unsigned b = a + 1; b < nodes; ++b) {
                if (siemens[a][b] > 0.0) m.add(static_cast<int>(a), static_cast<int>(b), siemens[a][b]);
            }
        }
        return m;
    }
};

Network random_network(Random& random, double least_ohm, double most_ohm, double density) {
    Network n;
    for (unsigned a = 0; a < nodes; ++a) {
        for (unsigned b = a + 1; b < nodes; ++b) {
            if (uniform(random, 0.0, 1.0) > density) continue;
            n.siemens[a][b] = 1.0 / log_uniform(random, least_ohm, most_ohm);
            n.siemens[b][a] = n.siemens[a][b];
        }
    }
    return n;
}

/// The nodal matrix's Schur complement on the kept nodes, by Gauss elimination with its subtractions.
std::array<std::array<Quad, kept>, kept> schur_complement(const Network& n) {
    std::array<std::array<Quad, nodes>, nodes> y{};
    for (unsigned a = 0; a < nodes; ++a) {
        for (unsigned b = 0; b < nodes; ++b) {
            if (a == b) continue;
            y[a][b] = -static_cast<Quad>(n.siemens[a][b]);
            y[a][a] += static_cast<Quad>(n.siemens[a][b]);
        }
    }
    for (unsigned k = nodes - 1; k >= kept; --k) {
        if (y[k][k] == 0) continue;
        for (unsigned a = 0; a < k; ++a) {
            for (unsigned b = 0; b < k; ++b) y[a][b] -= y[a][k] * y[k][b] / y[k][k];
        }
    }
    std::array<std::array<Quad, kept>, kept> out{};
    for (unsigned a = 0; a < kept; ++a) {
        for (unsigned b = 0; b < kept; ++b) out[a][b] = y[a][b];
    }
    return out;
}

}  // namespace

TEST_CASE("a star of three becomes its delta", "[circuit]") {
    // Kennelly 1899: 10, 20 and 30 ohm make 1100/30, 1100/20 and 1100/10 ohm.
    Mesh<nodes> m;
    m.add(3, 0, 1.0 / 10.0);
    m.add(3, 1, 1.0 / 20.0);
    m.add(3, 2, 1.0 / 30.0);
    const auto star = m.eliminate(3);
    CHECK(1.0 / m.between(0, 1) == Approx(1100.0 / 30.0).epsilon(1.0e-15));
    CHECK(1.0 / m.between(0, 2) == Approx(1100.0 / 20.0).epsilon(1.0e-15));
    CHECK(1.0 / m.between(1, 2) == Approx(1100.0 / 10.0).epsilon(1.0e-15));
    CHECK(m.between(0, 3) == 0.0);
    // Its middle stands at the mean of the ends, weighed by conductance: 6, 3 and 2 parts of 11.
    CHECK(Mesh<nodes>::potential(star, {1.1, 0.0, 0.0, 0.0}) == Approx(0.6).epsilon(1.0e-15));
    CHECK(Mesh<nodes>::potential(star, {0.0, 1.1, 2.2, 0.0}) == Approx(0.7).epsilon(1.0e-15));
    // 11/60 S hold it: one ampere lifts it by 60/11 V when the ends are held, and leaves by the same parts.
    CHECK(Mesh<nodes>::potential(star, {}, 1.0) == Approx(60.0 / 11.0).epsilon(1.0e-15));
    Mesh<nodes>::Row ampere{};
    Mesh<nodes>::hand_on(star, 1.1, ampere);
    CHECK(ampere[0] == Approx(0.6).epsilon(1.0e-15));
    CHECK(ampere[1] == Approx(0.3).epsilon(1.0e-15));
    CHECK(ampere[2] == Approx(0.2).epsilon(1.0e-15));
}

TEST_CASE("a node that nothing connects leaves without a trace", "[circuit]") {
    Mesh<nodes> m;
    m.add(0, 1, 0.25);
    const auto star = m.eliminate(2);
    CHECK(star.sum == 0.0);
    CHECK(m.between(0, 1) == 0.25);
    CHECK(Mesh<nodes>::potential(star, {1.0, 2.0, 0.0}) == 0.0);
    Mesh<nodes>::Row ampere{};
    Mesh<nodes>::hand_on(star, 1.0, ampere);
    CHECK(ampere == Mesh<nodes>::Row{});
}

TEST_CASE("elimination is the Schur complement of nodal analysis", "[circuit]") {
    // Eigen's LU in long double on networks of like resistances.
    using Matrix = Eigen::Matrix<long double, Eigen::Dynamic, Eigen::Dynamic>;
    Random random(4);
    for (int round = 0; round < 100; ++round) {
        const Network n = random_network(random, 1.0, 1000.0, 0.6);
        Matrix y = Matrix::Zero(nodes, nodes);
        for (int a = 0; a < nodes; ++a) {
            for (int b = 0; b < nodes; ++b) {
                if (a == b) continue;
                const double g = n.siemens[static_cast<unsigned>(a)][static_cast<unsigned>(b)];
                y(a, b) -= static_cast<long double>(g);
                y(a, a) += static_cast<long double>(g);
            }
        }
        const int out = nodes - kept;
        const Matrix inner = y.bottomRightCorner(out, out);
        if (inner.fullPivLu().rank() < out) continue;
        const Matrix reduced =
            y.topLeftCorner(kept, kept) -
            y.topRightCorner(kept, out) * inner.fullPivLu().solve(y.bottomLeftCorner(out, kept));
        Mesh<nodes> m = n.mesh();
        for (int k = nodes - 1; k >= kept; --k) m.eliminate(k);
        for (int a = 0; a < kept; ++a) {
            for (int b = a + 1; b < kept; ++b) {
                CHECK(m.between(a, b) ==
                      Approx(static_cast<double>(-reduced(a, b))).epsilon(1.0e-14).margin(1.0e-18));
            }
        }
    }
}

TEST_CASE("every conductance keeps its own accuracy from milliohm to a thousand teraohm", "[circuit]") {
    Random random(5);
    double worst = 0.0;
    int compared = 0;
    for (int round = 0; round < 1000; ++round) {
        const Network n = random_network(random, 1.0e-3, 1.0e15, round % 2 == 0 ? 1.0 : 0.4);
        const auto exact = schur_complement(n);
        Mesh<nodes> m = n.mesh();
        for (int k = nodes - 1; k >= kept; --k) m.eliminate(k);
        for (unsigned a = 0; a < kept; ++a) {
            for (unsigned b = a + 1; b < kept; ++b) {
                const auto theirs = static_cast<double>(-exact[a][b]);
                const double ours = m.between(static_cast<int>(a), static_cast<int>(b));
                if (theirs == 0.0) {
                    CHECK(ours == 0.0);
                    continue;
                }
                worst = std::max(worst, std::fabs(ours / theirs - 1.0));
                ++compared;
            }
        }
    }
    // Seven eliminations of some ten roundings each, none of them amplified.
    CHECK(worst < 70.0 * 1.2e-16);
    CHECK(compared > 5000);
}

TEST_CASE("potentials found on the way back are those of Kirchhoff's laws", "[circuit]") {
    Random random(6);
    for (int round = 0; round < 100; ++round) {
        const Network n = random_network(random, 1.0, 1.0e6, 1.0);
        Mesh<nodes> m = n.mesh();
        std::array<Mesh<nodes>::Star, nodes> stars{};
        Mesh<nodes>::Row volt{};
        for (unsigned k = 0; k < kept; ++k) volt[k] = uniform(random, -1.0, 1.0);
        for (int k = nodes - 1; k >= kept; --k) stars[static_cast<unsigned>(k)] = m.eliminate(k);
        for (unsigned k = kept; k < nodes; ++k) volt[k] = Mesh<nodes>::potential(stars[k], volt);
        for (unsigned k = kept; k < nodes; ++k) {
            double into = 0.0;
            double largest = 0.0;
            for (unsigned other = 0; other < nodes; ++other) {
                const double ampere = n.siemens[k][other] * (volt[other] - volt[k]);
                into += ampere;
                largest = std::max(largest, std::fabs(ampere));
            }
            CHECK(std::fabs(into) < 1.0e-12 * largest);
        }
    }
}
