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
constexpr double balanced_part = 1e-12;
constexpr double level_part = 1e-13;
constexpr double nudge_part = 1e-8;

// A step may end where the energy still falls, but this many times less steeply than where the step began.
constexpr double slack_part = 0.1;

// A deck whose free motion is less than this part of the whole is still settling, and may seem free by the
// rounding of large forces.
constexpr double free_part = 1e-5;

constexpr double rounding = std::numeric_limits<double>::epsilon();

constexpr int most_steps = 64;
constexpr int most_trials = 40;
constexpr int most_doublings = 200;
constexpr int most_halvings = 50;
constexpr int most_purifying_passes = 4;
constexpr int most_settling_passes = 4;

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
                const bool neutral = step > 0 && is_balanced(set, squeeze);
                if (!move_freely(set, memory, neutral, squeeze)) return Found::mechanism;
                if (neutral) return Found::neutral;
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
        return largest(springs_.residual(situation_, set, squeeze)) <=
               balanced_part * load_N_ + 64.0 * rounding * springs_.stiffest_N_per_m() * reach;
    }

    /// Force with which the energy falls along `way` at `squeeze` + `part` * `way`, leaving the place there.
    double pull_at(const Nodes& squeeze, const Nodes& way, double part, Nodes& place) const {
        for (std::size_t i = 0; i < way.size(); ++i) place[i] = squeeze[i] + part * way[i];
        return product(unbalanced(place), way);
    }

    /// Largest pull along `way` that is rounding and not a slope, where the stiffest spring that `way`
    /// strains has `stiffness_N_per_m`.
    double level(const Nodes& squeeze, const Nodes& way, double stiffness_N_per_m) const {
        double path = 0.0;
        for (const double part : way) path += std::fabs(part);
        const double reach = largest(squeeze) + springs_.highest_m();
        return path * (level_part * load_N_ + 4.0 * rounding * stiffness_N_per_m * reach);
    }

    /// Moves `squeeze` to `target` when the energy falls all the way there, else to where it has all but
    /// stopped falling. True when it went all the way.
    bool go_downhill(const Nodes& target, Nodes& squeeze) const {
        Nodes way{};
        for (std::size_t i = 0; i < way.size(); ++i) way[i] = target[i] - squeeze[i];
        Nodes place = squeeze;
        const double drive = pull_at(squeeze, way, 0.0, place);
        const double hindrance = -pull_at(squeeze, way, 1.0, place);
        if (!(drive > 0.0) || hindrance <= level(squeeze, way, springs_.stiffest_N_per_m()) + 1e-9 * drive) {
            squeeze = target;
            return true;
        }
        // False position; the bound that stays put counts half (the Illinois rule).
        double falling = 0.0, rising = 1.0;
        double falling_weight = drive, rising_weight = hindrance;
        double pull = drive;
        for (int trial = 0; trial < most_trials && pull > slack_part * drive; ++trial) {
            const double part =
                falling + (rising - falling) * falling_weight / (falling_weight + rising_weight);
            const double pull_there = pull_at(squeeze, way, part, place);
            if (pull_there >= 0.0) {
                falling = part;
                falling_weight = pull = pull_there;
                rising_weight *= 0.5;
            } else {
                rising = part;
                rising_weight = -pull_there;
                falling_weight *= 0.5;
            }
        }
        pull_at(squeeze, way, falling, place);
        squeeze = place;
        return false;
    }

    /// One step of a deck that `set` does not hold: into balance as far as the set can give it, then along
    /// what it leaves free until the energy no longer falls. A deck in balance already (`neutral`) only
    /// settles the last rounding. False when no support has any stiffness.
    bool move_freely(const ActiveSet& set, NodeMatrix& memory, bool neutral, Nodes& squeeze) const {
        const int n = static_cast<int>(springs_.nodes());
        const double softness = std::max(softer_than_supports * springs_.stiffest_support_N_per_m(),
                                         softer_than_all * springs_.stiffest_N_per_m());
        springs_.assemble(set, softness, memory);
        if (!numbers::cholesky(memory, n)) return false;
        Nodes way{};
        Nodes free_way{};
        for (int pass = 0; pass < (neutral ? most_settling_passes : 1); ++pass) {
            way = springs_.residual(situation_, set, squeeze);
            numbers::solve_factored(memory, n, way);
            free_way = way;
            // Leaves the free motions as they are, takes the others down by softness / stiffness each time.
            for (int purified = 0; purified < most_purifying_passes; ++purified) {
                for (double& part : free_way) part *= softness;
                numbers::solve_factored(memory, n, free_way);
            }
            Nodes target{};
            for (std::size_t i = 0; i < target.size(); ++i) target[i] = squeeze[i] + (way[i] - free_way[i]);
            go_downhill(target, squeeze);
        }
        if (!neutral && largest(free_way) > free_part * largest(way)) go_to_lowest(free_way, squeeze);
        return true;
    }

    /// Moves `squeeze` along `way` to where the energy is lowest, or beyond runaway_m.
    void go_to_lowest(const Nodes& way, Nodes& squeeze) const {
        const double least = 10.0 * level(squeeze, way, springs_.stiffest_support_N_per_m());
        Nodes place = squeeze;
        if (!(pull_at(squeeze, way, 0.0, place) > least)) return;
        double falling = 0.0;
        double rising = 1.0;
        for (int doubling = 0; doubling < most_doublings; ++doubling) {
            if (!(pull_at(squeeze, way, rising, place) > least)) break;
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
/// freely until the next support touches. The forces are the same wherever it rests. Brings it to a place
/// where it touches, by nudges far below any load on the lifted supports' nodes, in a series that no symmetry
/// balances. False when it finds none.
bool rock_until_touching(const DeckSprings& springs, const Situation& situation, ActiveSet& set,
                         Nodes& squeeze) {
    Situation nudged = situation;
    const double weight_N =
        std::max(largest(situation.load_N), 1e-6 * springs.stiffest_support_N_per_m() * springs.highest_m());
    double nudge_N = nudge_part * weight_N;
    for (std::size_t i = 0; i < springs.nodes(); ++i, nudge_N *= 0.8)
        if (!set.carries[i]) nudged.load_N[i] += nudge_N;
    return Search(springs, nudged).run(set, squeeze) == Found::equilibrium &&
           Search(springs, situation).run(set, squeeze) == Found::equilibrium;
}

}  // namespace

Found find_equilibrium(const DeckSprings& springs, const Situation& situation, ActiveSet& set,
                       Nodes& squeeze) {
    set = springs.usual_set(situation);
    squeeze = {};
    if (!all_finite(situation.load_N)) return Found::nothing;
    const Found found = Search(springs, situation).run(set, squeeze);
    if (!all_finite(springs.displacement(squeeze))) return Found::nothing;
    if (found != Found::neutral) return found;

    ActiveSet touching = set;
    Nodes place = squeeze;
    if (rock_until_touching(springs, situation, touching, place)) {
        set = touching;
        squeeze = place;
    }
    return Found::equilibrium;
}

}  // namespace cornerbench::mechanics
