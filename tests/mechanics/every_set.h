#pragma once

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>

#include "firmware/mechanics/deck.h"

/// The deck's physics written a second time, with Eigen and without thrift, to check the first: assemble
/// K = diag(k) + kt/W^2 t t' + kb b b' + contacts for every set of carrying supports and every state of the
/// contacts, solve, and keep the sets that agree with their own forces.
namespace every_set {

using namespace cornerbench;

struct Outcome {
    int consistent_sets = 0;
    Eigen::VectorXd support_N;  ///< of the first consistent set
    Eigen::VectorXd contact_N;
    double spread_N = 0.0;  ///< largest difference between the support forces of two consistent sets
};

/// Hat function of section `s` at x, the outermost spans extrapolated.
inline double hat(const scale::Deck& deck, int s, double x) {
    const auto at = [&](int section) { return deck.section_x_m[static_cast<std::size_t>(section)]; };
    int right = 1;
    while (right < deck.sections - 1 && at(right) < x) ++right;
    if (s == right) return (x - at(right - 1)) / (at(right) - at(right - 1));
    if (s == right - 1) return (at(right) - x) / (at(right) - at(right - 1));
    return 0.0;
}

inline Eigen::VectorXd shares(const scale::Deck& deck, double x, double y) {
    Eigen::VectorXd result(2 * deck.sections);
    for (int s = 0; s < deck.sections; ++s) {
        result(s) = hat(deck, s, x) * y / deck.width_m;
        result(2 * deck.sections - 1 - s) = hat(deck, s, x) * (1.0 - y / deck.width_m);
    }
    return result;
}

inline Eigen::MatrixXd structure(const scale::Deck& deck) {
    const int n = 2 * deck.sections;
    Eigen::MatrixXd k = Eigen::MatrixXd::Zero(n, n);
    for (int left = 0; left + 1 < deck.sections; ++left) {
        Eigen::VectorXd t = Eigen::VectorXd::Zero(n);
        t(left) = 1.0 / deck.width_m;
        t(left + 1) = -1.0 / deck.width_m;
        t(n - 2 - left) = 1.0 / deck.width_m;
        t(n - 1 - left) = -1.0 / deck.width_m;
        k += deck.twist_stiffness_N_m_per_rad * t * t.transpose();
    }
    for (int line = 1; line + 1 < deck.sections; ++line) {
        const auto at = static_cast<std::size_t>(line);
        const double left = deck.section_x_m[at] - deck.section_x_m[at - 1];
        const double right = deck.section_x_m[at + 1] - deck.section_x_m[at];
        Eigen::VectorXd far = Eigen::VectorXd::Zero(n);
        Eigen::VectorXd near = Eigen::VectorXd::Zero(n);
        far(line - 1) = near(n - line) = 1.0 / left;
        far(line) = near(n - 1 - line) = -1.0 / left - 1.0 / right;
        far(line + 1) = near(n - 2 - line) = 1.0 / right;
        k += deck.joint_stiffness_N_m_per_rad * (far * far.transpose() + near * near.transpose());
    }
    return k;
}

/// Dead load by a fine sum over the deck's length instead of an integral: exact for linear shares when every
/// stretch between section lines is cut evenly.
inline Eigen::VectorXd dead_load_N(const scale::Condition& condition) {
    const scale::Deck& deck = condition.deck;
    const double first = deck.section_x_m[0];
    const double last = deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)];
    const double per_m = deck.mass_kg * condition.gravity / (last - first + 2.0 * deck.overhang_m);
    Eigen::VectorXd load = Eigen::VectorXd::Zero(2 * deck.sections);
    const auto add = [&](double from, double to) {
        constexpr int pieces = 8;
        for (int piece = 0; piece < pieces; ++piece)
            for (const double y : {0.25 * deck.width_m, 0.75 * deck.width_m})
                load += shares(deck, from + (piece + 0.5) * (to - from) / pieces, y) *
                        (per_m * (to - from) / pieces / 2.0);
    };
    add(first - deck.overhang_m, first);
    for (int s = 0; s + 1 < deck.sections; ++s)
        add(deck.section_x_m[static_cast<std::size_t>(s)], deck.section_x_m[static_cast<std::size_t>(s + 1)]);
    add(last, last + deck.overhang_m);
    return load;
}

inline Outcome try_every_set(const scale::Condition& condition, std::span<const mechanics::PointLoad> loads,
                             const mechanics::ContactMemory& memory) {
    const scale::Deck& deck = condition.deck;
    const int n = 2 * deck.sections;
    const int contacts = condition.contact_count;
    Eigen::VectorXd k(n), h(n);
    for (int i = 0; i < n; ++i) {
        k(i) = condition.supports[static_cast<std::size_t>(i)].stiffness_N_per_m;
        h(i) = condition.supports[static_cast<std::size_t>(i)].height_m;
    }
    Eigen::VectorXd load = dead_load_N(condition);
    for (const mechanics::PointLoad& point : loads)
        load += point.force_N * shares(deck, point.x_m, point.y_m);
    const Eigen::MatrixXd structure_stiffness = structure(deck);

    int contact_states = 1;
    for (int c = 0; c < contacts; ++c) contact_states *= 3;
    const double slack_N = 1e-9 * load.cwiseAbs().maxCoeff();
    Outcome outcome;
    for (int set = 0; set < (1 << n); ++set)
        for (int state = 0; state < contact_states; ++state) {
            Eigen::MatrixXd stiffness = structure_stiffness;
            Eigen::VectorXd right = load;
            for (int i = 0; i < n; ++i)
                if ((set >> i) & 1) {
                    stiffness(i, i) += k(i);
                    right(i) -= k(i) * h(i);
                }
            const auto slide = [&](int c) {
                int digits = state;
                for (int skipped = 0; skipped < c; ++skipped) digits /= 3;
                return digits % 3 - 1;
            };
            const auto contact = [&](int c) { return condition.contacts[static_cast<std::size_t>(c)]; };
            const auto anchor = [&](int c) { return memory.anchor_m[static_cast<std::size_t>(c)]; };
            for (int c = 0; c < contacts; ++c) {
                const Eigen::VectorXd w = shares(deck, contact(c).x_m, contact(c).y_m);
                if (slide(c) == 0) {
                    stiffness += contact(c).stiffness_N_per_m * w * w.transpose();
                    right += contact(c).stiffness_N_per_m * anchor(c) * w;
                } else {
                    right -= slide(c) * contact(c).friction_limit_N * w;
                }
            }
            const Eigen::LDLT<Eigen::MatrixXd> factor(stiffness);
            if (!(factor.vectorD().minCoeff() > 1e-12 * factor.vectorD().maxCoeff())) continue;
            const Eigen::VectorXd z = factor.solve(right);

            bool agrees = true;
            Eigen::VectorXd support_N = Eigen::VectorXd::Zero(n);
            for (int i = 0; i < n; ++i) {
                const double spring_N = k(i) * (z(i) + h(i));
                const bool carries = ((set >> i) & 1) == 1;
                agrees = agrees && (carries ? spring_N >= -slack_N : spring_N <= slack_N);
                if (carries) support_N(i) = spring_N;
            }
            Eigen::VectorXd contact_N = Eigen::VectorXd::Zero(contacts);
            for (int c = 0; c < contacts; ++c) {
                const double spring_N = contact(c).stiffness_N_per_m *
                                        (shares(deck, contact(c).x_m, contact(c).y_m).dot(z) - anchor(c));
                const double limit = contact(c).friction_limit_N;
                agrees = agrees && (slide(c) == 0 ? std::abs(spring_N) <= limit + slack_N
                                                  : slide(c) * spring_N >= limit - slack_N);
                contact_N(c) = slide(c) == 0 ? spring_N : slide(c) * limit;
            }
            if (!agrees) continue;
            if (outcome.consistent_sets++ == 0) {
                outcome.support_N = support_N;
                outcome.contact_N = contact_N;
            }
            outcome.spread_N =
                std::max(outcome.spread_N, (support_N - outcome.support_N).cwiseAbs().maxCoeff());
        }
    return outcome;
}

}  // namespace every_set
