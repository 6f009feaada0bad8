#include "firmware/diagnosis/corner_likelihood.h"

#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <functional>

#include "firmware/diagnosis/corner_search.h"
#include "tests/diagnosis/corner_rounds.h"

using namespace cornerbench;
using diagnosis::CornerEstimate;
using diagnosis::CornerLikelihood;
using diagnosis::CornerRow;
using diagnosis::CornerScale;
using diagnosis::PerSupport;

namespace {

/// A round on a deck heavy enough that nothing lifts, with gains of every kind and some corners left out.
struct Case {
    CornerScale scale;
    scale::Condition condition;
    std::vector<CornerRow> rows;
    PerSupport gain{};
    PerSupport mass_kg{};
    double common_uncertainty = 0.5;
};

Case random_case(std::uint64_t seed) {
    field::RandomSource random(seed);
    Case c;
    scale::Description d = oracle::random_vehicle_scale(random);
    d.deck.mass_kg = 1.0e7;
    c.scale = diagnosis::corner_scale(d, {}, diagnosis::History::unadjusted);
    // One stiffness of the structure, so that it can be moved by itself.
    const bool one_module = d.deck.sections == 2;
    c.scale.structure_stiffness = one_module ? 0.2 : 0.0;
    if (one_module) c.scale.deck.joint_stiffness_N_m_per_rad = 0.0;
    c.condition = scale::sound_condition(d);
    c.condition.deck = c.scale.deck;
    for (int i = 0; i < d.cell_count(); ++i) {
        const auto at = static_cast<unsigned>(i);
        c.scale.gain[at] = random.between(1.0e-4, 5.0e-3);
        c.gain[at] = random.between(-1.2, 1.2);
        c.mass_kg[at] = random.between(0.02, 0.2) * d.max_kg;
        if (random.share() < 0.2) continue;
        c.rows.push_back(
            {i, random.between(-1.0, 1.2), random.between(1.0e-7, 1.0e-5), random.between(0.0, 1.0e-3)});
    }
    return c;
}

/// Shares of a mass at a place, by the full statics.
PerSupport full_shares(const scale::Condition& condition, double x_m, double y_m) {
    const mechanics::DeckModel model(condition);
    mechanics::DeckState empty;
    model.slack_when_empty(&empty);
    const auto influence = model.influence(empty);
    const auto entering = mechanics::node_shares(condition.deck, x_m, y_m);
    PerSupport shares{};
    for (unsigned j = 0; j < static_cast<unsigned>(condition.cell_count); ++j) {
        for (unsigned i = 0; i < static_cast<unsigned>(condition.cell_count); ++i) {
            shares[j] += influence[j][i] * entering[i];
        }
    }
    return shares;
}

double reading(const Case& c, const scale::Condition& condition, double x_m, double y_m) {
    const PerSupport shares = full_shares(condition, x_m, y_m);
    double sum = 0.0;
    for (unsigned j = 0; j < static_cast<unsigned>(condition.cell_count); ++j) sum += shares[j] * c.gain[j];
    return sum;
}

Eigen::VectorXd readings(const Case& c, const scale::Condition& condition) {
    Eigen::VectorXd values(static_cast<Eigen::Index>(c.rows.size()));
    for (Eigen::Index r = 0; r < values.size(); ++r) {
        const field::Place at =
            field::over_support(c.scale.deck, c.rows[static_cast<std::size_t>(r)].support);
        values[r] = reading(c, condition, at.x_m, at.y_m);
    }
    return values;
}

/// Change of all readings per relative change of something in the condition.
Eigen::VectorXd slope(const Case& c, const std::function<void(scale::Condition&, double)>& scale_by) {
    constexpr double step = 1.0e-4;
    scale::Condition more = c.condition;
    scale::Condition less = c.condition;
    scale_by(more, 1.0 + step);
    scale_by(less, 1.0 - step);
    return (readings(c, more) - readings(c, less)) / (2.0 * step);
}

double square(double x) {
    return x * x;
}

/// The covariance by differences of the full statics: nothing of the formulae under test.
Eigen::MatrixXd covariance(const Case& c) {
    const auto n = static_cast<Eigen::Index>(c.rows.size());
    const int supports = c.scale.supports();
    Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(n, n);
    const auto add = [&sum](const Eigen::VectorXd& change) { sum += change * change.transpose(); };
    Eigen::VectorXd zero(n);
    for (Eigen::Index r = 0; r < n; ++r) zero[r] = c.rows[static_cast<std::size_t>(r)].zero;
    add(zero);
    for (int l = 0; l < supports; ++l) {
        const auto at = static_cast<unsigned>(l);
        add(c.scale.support_stiffness *
            slope(c, [at](scale::Condition& s, double by) { s.supports[at].stiffness_N_per_m *= by; }));
        Case stronger = c;
        stronger.gain[at] += c.scale.gain[at] * c.gain[at];
        add(readings(stronger, c.condition) - readings(c, c.condition));
    }
    add(c.scale.structure_stiffness *
        slope(c, [](scale::Condition& s, double by) { s.deck.twist_stiffness_N_m_per_rad *= by; }));

    constexpr double step_m = 1.0e-3;
    for (Eigen::Index r = 0; r < n; ++r) {
        const CornerRow& row = c.rows[static_cast<std::size_t>(r)];
        const field::Place at = field::over_support(c.scale.deck, row.support);
        const double here = reading(c, c.condition, at.x_m, at.y_m);
        const double inwards = at.y_m > 0.0 ? -step_m : step_m;
        const double across = (reading(c, c.condition, at.x_m, at.y_m + inwards) - here) / step_m;
        const double left = (reading(c, c.condition, at.x_m - step_m, at.y_m) - here) / step_m;
        const double right = (reading(c, c.condition, at.x_m + step_m, at.y_m) - here) / step_m;
        sum(r, r) += row.variance +
                     square(c.scale.placing_m) * (square(across) + std::max(square(left), square(right)));
    }
    return sum;
}

Eigen::VectorXd residual(const Case& c) {
    const Eigen::VectorXd expected = readings(c, c.condition);
    Eigen::VectorXd left(expected.size());
    for (Eigen::Index r = 0; r < left.size(); ++r) {
        left[r] = c.rows[static_cast<std::size_t>(r)].value - expected[r];
    }
    return left;
}

CornerLikelihood compared(const Case& c) {
    CornerLikelihood likelihood;
    REQUIRE(likelihood.stand(c.scale, c.mass_kg));
    likelihood.begin_rows(c.common_uncertainty);
    for (const CornerRow& row : c.rows) likelihood.add_row(row);
    REQUIRE(likelihood.compare(c.gain));
    return likelihood;
}

}  // namespace

TEST_CASE("likelihood and estimates agree with dense algebra on a covariance by differences",
          "[corner check]") {
    for (std::uint64_t seed = 0; seed < 60; ++seed) {
        const Case c = random_case(seed);
        if (c.rows.size() < 2) continue;
        INFO("seed " << seed);
        const CornerLikelihood likelihood = compared(c);
        const Eigen::VectorXd expected = readings(c, c.condition);
        const Eigen::VectorXd left = residual(c);
        const Eigen::MatrixXd beside = covariance(c);
        const Eigen::MatrixXd all = beside + square(c.common_uncertainty) * expected * expected.transpose();
        const Eigen::MatrixXd inverse = all.inverse();

        const double chi_square = left.dot(inverse * left);
        CHECK(likelihood.chi_square() == Approx(chi_square).epsilon(2e-3));
        const double log_determinant = all.ldlt().vectorD().array().log().sum();
        CHECK(likelihood.log_evidence() ==
              Approx(-0.5 * (chi_square + log_determinant)).epsilon(2e-3).margin(2e-3));

        const CornerEstimate common = likelihood.common();
        const double precision =
            1.0 / square(c.common_uncertainty) + expected.dot(beside.ldlt().solve(expected));
        CHECK(common.uncertainty == Approx(1.0 / std::sqrt(precision)).epsilon(2e-3));
        CHECK(common.value - 1.0 ==
              Approx(expected.dot(beside.ldlt().solve(left)) / precision).epsilon(5e-3).margin(1e-5));

        for (int j = 0; j < c.scale.supports(); ++j) {
            Case moved = c;
            moved.gain = {};
            moved.gain[static_cast<unsigned>(j)] = 1.0;
            const Eigen::VectorXd change = readings(moved, c.condition);
            const double felt = change.dot(inverse * change);
            const CornerEstimate more = likelihood.along(moved.gain);
            // Where the rows hardly feel a cell, both sides are differences of near equal numbers.
            if (felt < 1.0) continue;
            CHECK(more.uncertainty == Approx(1.0 / std::sqrt(felt)).epsilon(1e-2));
            CHECK(more.value ==
                  Approx(change.dot(inverse * left) / felt).epsilon(1e-2).margin(0.02 / std::sqrt(felt)));
        }
    }
}

TEST_CASE("a sound scale's corners are alike whatever its deck, its supports and the weight's place",
          "[corner check]") {
    for (std::uint64_t seed = 0; seed < 60; ++seed) {
        Case c = random_case(seed);
        if (c.rows.size() < 2) continue;
        c.gain.fill(1.0);
        c.scale.gain.fill(0.0);
        for (CornerRow& row : c.rows) row = {row.support, 1.0, 1.0e-8, 0.0};
        INFO("seed " << seed);
        const CornerLikelihood likelihood = compared(c);
        const auto n = static_cast<double>(c.rows.size());
        // n readings of variance v about a common value of which 0.5 is known: dense algebra in closed form.
        CHECK(likelihood.chi_square() == Approx(0.0).margin(1e-6));
        CHECK(likelihood.common().uncertainty == Approx(std::sqrt(1.0 / (4.0 + n * 1.0e8))).epsilon(1e-4));
    }
}

TEST_CASE("limits of chi-square are on the safe side of the tables", "[corner check]") {
    // Upper 0.001 points of chi-square: 10.828, 13.816, 20.515, 29.588, 39.252 for 1, 2, 5, 10, 16 degrees of
    // freedom (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4).
    const double sigmas = numbers::normal_quantile(0.999);
    const std::pair<int, double> table[] = {
        {1, 10.828}, {2, 13.816}, {5, 20.515}, {10, 29.588}, {16, 39.252}};
    for (const auto& [rows, limit] : table) {
        INFO(rows);
        CHECK(diagnosis::chi_square_limit(rows, sigmas) >= limit);
        CHECK(diagnosis::chi_square_limit(rows, sigmas) <= 1.04 * limit);
    }
    CHECK(std::isinf(diagnosis::chi_square_limit(0, sigmas)));
}

TEST_CASE("readings without any uncertainty cannot be compared", "[corner check]") {
    Case c = random_case(1);
    REQUIRE(c.rows.size() >= 2);
    c.scale.deck.twist_stiffness_N_m_per_rad = c.scale.deck.joint_stiffness_N_m_per_rad = 0.0;
    c.gain.fill(1.0);
    c.scale.gain.fill(0.0);
    for (CornerRow& row : c.rows) row = {row.support, 1.0, 0.0, 0.0};
    CornerLikelihood likelihood;
    REQUIRE(likelihood.stand(c.scale, c.mass_kg));
    likelihood.begin_rows(0.0);
    for (const CornerRow& row : c.rows) likelihood.add_row(row);
    CHECK_FALSE(likelihood.compare(c.gain));
}
