#include "firmware/mechanics/equilibrium.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "firmware/numbers/dense.h"

namespace cornerbench::mechanics {

namespace {

// While the carrying supports alone do not hold the deck, every node stands on a spring this much softer than
// the stiffest support, or than the stiffest thing of all where rounding would swallow it: soft enough to let
// the deck move until the next support catches it.
constexpr double softer_than_supports = 1e-6;
constexpr double softer_than_all = 1e-11;

// A deck that moves further than any gap is not caught any more.
constexpr double runaway_m = 1e6;

// Parts of the largest load: the imbalance of a deck that is in balance, the slope of an energy that is
// level, and the nudge that makes a deck rock.
constexpr double balanced_part = 1e-11;
constexpr double level_part = 1e-13;
constexpr double nudge_part = 1e-8;

constexpr int most_steps = 64;
constexpr int most_halvings = 50;
constexpr int most_purifying_passes = 4;

bool all_finite(const Nodes& values) {
    return std::all_of(values.begin(), values.end(), [](double value) { return std::isfinite(value); });
}

double product(const Nodes& a, const Nodes& b) {
    double sum = 0.0;
    for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
    return sum;
}

class Search {
  public:
    Search(const DeckSprings& springs, const Situation& situation)
        : springs_(springs), situation_(situation), load_N_(largest(situation.load_N)) {}

    /// Goes downhill from set to set until one agrees with its own forces.
    Found run(ActiveSet& set, Nodes& squeeze) const {
        NodeMatrix memory;
        bool holds = false;
        for (int step = 0; step < most_steps; ++step) {
            Nodes target{};
            const NodeMatrix* factor = springs_.factor(set, memory);
            holds = factor != nullptr && springs_.solve(situation_, set, *factor, target);
            bool arrived = true;
            if (holds && step == 0) {
                squeeze = target;
            } else if (holds) {
                arrived = go_downhill(target, squeeze);
            } else {
                if (largest(squeeze) > runaway_m) return Found::mechanism;
                if (step > 0 && is_balanced(set, squeeze)) return Found::neutral;
                if (!move_freely(set, memory, squeeze)) return Found::mechanism;
            }
            const ActiveSet next = springs_.set_at(situation_, squeeze, holds && arrived ? &set : nullptr);
            if (holds && arrived && next == set) return Found::equilibrium;
            set = next;
        }
        return holds ? Found::nothing : Found::mechanism;
    }

  private:
    /// The loads less every force that the deck meets, each support and contact within its limits: minus the
    /// slope of the energy.
    Nodes unbalanced(const Nodes& squeeze) const {
        return springs_.residual(situation_, springs_.set_at(situation_, squeeze, nullptr), squeeze);
    }

    bool is_balanced(const ActiveSet& set, const Nodes& squeeze) const {
        const double reach = std::max(largest(squeeze), springs_.highest_m());
        const double rounding = std::numeric_limits<double>::epsilon() * springs_.stiffest_N_per_m() * reach;
        return largest(springs_.residual(situation_, set, squeeze)) <=
               balanced_part * load_N_ + 64.0 * rounding;
    }

    /// Force with which the energy falls along `way` at `squeeze` + `part` * `way`, leaving the place there.
    double pull_at(const Nodes& squeeze, const Nodes& way, double part, Nodes& place) const {
        for (std::size_t i = 0; i < way.size(); ++i) place[i] = squeeze[i] + part * way[i];
        return product(unbalanced(place), way);
    }

    /// Pull that is rounding and not a slope.
    double level(const Nodes& way) const {
        double path = 0.0;
        for (const double part : way) path += std::fabs(part);
        return level_part * load_N_ * path;
    }

    /// Moves `squeeze` towards `target`, halving the way until the energy still falls at its end: with a
    /// convex energy that gains at least half of what the best point on the way would. True when it went all
    /// the way.
    bool go_downhill(const Nodes& target, Nodes& squeeze) const {
        Nodes way{};
        for (std::size_t i = 0; i < way.size(); ++i) way[i] = target[i] - squeeze[i];
        Nodes place = squeeze;
        const double least = -level(way) - 1e-9 * std::fabs(pull_at(squeeze, way, 0.0, place));
        if (pull_at(squeeze, way, 1.0, place) >= least) {
            squeeze = target;
            return true;
        }
        double part = 0.5;
        for (int halving = 1; halving < most_halvings && pull_at(squeeze, way, part, place) < least;
             ++halving)
            part *= 0.5;
        squeeze = place;
        return false;
    }

    /// One step of a deck that `set` does not hold: into balance as far as the set can give it, then along
    /// what it leaves free until the energy no longer falls. False when no support has any stiffness.
    bool move_freely(const ActiveSet& set, NodeMatrix& memory, Nodes& squeeze) const {
        const int n = static_cast<int>(springs_.nodes());
        const double softness = std::max(softer_than_supports * springs_.stiffest_support_N_per_m(),
                                         softer_than_all * springs_.stiffest_N_per_m());
        springs_.assemble(set, softness, memory);
        if (!numbers::cholesky(memory, n)) return false;
        Nodes way = springs_.residual(situation_, set, squeeze);
        numbers::solve_factored(memory, n, way);
        Nodes target{};
        for (std::size_t i = 0; i < target.size(); ++i) target[i] = squeeze[i] + way[i];
        go_downhill(target, squeeze);

        // Each pass leaves the free motions as they are and takes the others down by softness / stiffness.
        for (int pass = 0; pass < most_purifying_passes; ++pass) {
            for (double& part : way) part *= softness;
            numbers::solve_factored(memory, n, way);
        }
        go_to_lowest(way, squeeze);
        return true;
    }

    /// Moves `squeeze` along `way` to where the energy is lowest, or beyond runaway_m.
    void go_to_lowest(const Nodes& way, Nodes& squeeze) const {
        const double least = level(way);
        Nodes place = squeeze;
        if (!(pull_at(squeeze, way, 0.0, place) > least)) return;
        double falling = 0.0;
        double rising = 1.0;
        while (pull_at(squeeze, way, rising, place) > least) {
            falling = rising;
            rising *= 2.0;
            if (largest(place) > runaway_m) break;
        }
        for (int halving = 0; halving < most_halvings; ++halving) {
            const double middle = 0.5 * (falling + rising);
            (pull_at(squeeze, way, middle, place) > least ? falling : rising) = middle;
        }
        squeeze = place;
    }

    const DeckSprings& springs_;
    const Situation& situation_;
    double load_N_;
};

/// A deck in balance on supports that do not hold it, such as a stiff one on two opposite corners, rocks
/// freely until the next support touches. The forces are the same wherever it rests; this finds a place where
/// it touches, by a nudge far below any load on each lifted support's node, every one different.
Found rock_until_touching(const DeckSprings& springs, const Situation& situation, ActiveSet& set,
                          Nodes& squeeze) {
    Situation nudged = situation;
    const double nudge_N = nudge_part * largest(situation.load_N);
    for (std::size_t i = 0; i < springs.nodes(); ++i)
        if (!set.carries[i]) nudged.load_N[i] += nudge_N * (1.0 + static_cast<double>(i) / scale::max_cells);
    if (Search(springs, nudged).run(set, squeeze) != Found::equilibrium) return Found::mechanism;

    NodeMatrix memory;
    const NodeMatrix* factor = springs.factor(set, memory);
    const bool holds = factor != nullptr && springs.solve(situation, set, *factor, squeeze);
    return holds && springs.set_at(situation, squeeze, &set) == set ? Found::equilibrium : Found::nothing;
}

}  // namespace

Found find_equilibrium(const DeckSprings& springs, const Situation& situation, ActiveSet& set,
                       Nodes& squeeze) {
    set = springs.usual_set(situation);
    squeeze = {};
    if (!all_finite(situation.load_N)) return Found::nothing;
    const Found found = Search(springs, situation).run(set, squeeze);
    return found == Found::neutral ? rock_until_touching(springs, situation, set, squeeze) : found;
}

}  // namespace cornerbench::mechanics
