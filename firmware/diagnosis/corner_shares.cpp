#include "firmware/diagnosis/corner_shares.h"

#include <cmath>

#include "firmware/mechanics/deck.h"
#include "firmware/mechanics/deck_springs.h"
#include "firmware/numbers/dense.h"

namespace cornerbench::diagnosis {

namespace {

/// Root of the mean square of what a normal number of standard deviation 1 around `mean` >= 0 lacks to zero:
/// sqrt((1 + a^2) P(-a) - a p(a)), here without exponentials and nowhere below that by more than 0.012.
double shortfall(double mean) {
    const double part = mean < 3.0 ? 1.0 - mean / 3.0 : 0.0;
    return 0.70710678118654752 * part * part;
}

using CarryMask = unsigned;

bool factor_stiffness(const CornerScale& scale, CarryMask carries, SupportMatrix& k) {
    const auto n = static_cast<std::size_t>(scale.supports());
    for (std::size_t e = 0; e < n * n; ++e) k[e] = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        if ((carries >> i & 1U) != 0) k[i * n + i] = scale.support_stiffness_N_per_m;
    }
    const std::size_t springs = mechanics::structure_spring_count(scale.deck);
    for (std::size_t s = 0; s < springs; ++s) mechanics::structure_spring(scale.deck, s).stiffen(k, n);
    return numbers::cholesky(k, scale.supports());
}

/// Forces on all supports, in kg, under `load_kg` at the nodes, while those in `carries` stand.
void carry(const CornerScale& scale, CarryMask carries, const SupportMatrix& factor, PerSupport& load_kg) {
    numbers::solve_factored(factor, scale.supports(), load_kg);
    for (int i = 0; i < scale.supports(); ++i) {
        load_kg[i] = (carries >> i & 1U) != 0 ? scale.support_stiffness_N_per_m * load_kg[i] : 0.0;
    }
}

/// Replaces row `i` by the shares while the supports that it would lift hang free; leaves it when those left
/// would not hold the deck.
void lift_row(const CornerScale& scale, const PerSupport& dead_node_kg, int i, SupportMatrix& scratch,
              CornerShares& shares) {
    const double mass_kg = shares.mass_kg[i];
    const int n = shares.supports;
    CarryMask carries = (1U << n) - 1U;
    PerSupport force_kg{};
    for (int j = 0; j < n; ++j) force_kg[j] = shares.dead_kg[j] + mass_kg * shares.of(i, j);
    // Each pass takes one support away, so there are at most as many.
    for (int pass = 0; pass < n; ++pass) {
        int lowest = 0;
        for (int j = 1; j < n; ++j) {
            if (force_kg[j] < force_kg[lowest]) lowest = j;
        }
        if (force_kg[lowest] >= 0.0) break;
        carries &= ~(1U << lowest);
        if (!factor_stiffness(scale, carries, scratch)) return;
        force_kg = dead_node_kg;
        force_kg[i] += mass_kg;
        carry(scale, carries, scratch, force_kg);
    }
    for (int j = 0; j < n; ++j) {
        shares.share[i * n + j] = static_cast<float>((force_kg[j] - shares.dead_kg[j]) / mass_kg);
    }
}

}  // namespace

double CornerShares::looseness(int loaded, int support) const {
    const double spread_kg = preload_kg[support];
    const double mass = mass_kg[loaded];
    if (!(spread_kg > 0.0) || !(mass > 0.0)) return 0.0;
    const double change = of(loaded, support);
    const double loaded_kg = dead_kg[support] + mass * change;
    const double lowest_kg = loaded_kg < dead_kg[support] ? loaded_kg : dead_kg[support];
    // A support that the mass lifts for sure has lost just what it carried before.
    const double off_kg = lowest_kg > 0.0 ? shortfall(lowest_kg / spread_kg) * spread_kg : spread_kg;
    // It loses no more than all of its share, however far: an even spread up to that.
    const double most = std::fabs(change) * 0.57735026918962576;
    return off_kg / mass < most ? off_kg / mass : most;
}

bool find_shares(const CornerScale& scale, const PerSupport& mass_kg, SupportMatrix& scratch,
                 CornerShares& shares) {
    const int n = scale.supports();
    shares.supports = n;
    shares.mass_kg = mass_kg;
    shares.dead_kg = {};
    const CarryMask all = (1U << n) - 1U;
    if (!factor_stiffness(scale, all, scratch)) return false;
    for (int i = 0; i < n; ++i) {
        PerSupport row{};
        row[i] = 1.0;
        carry(scale, all, scratch, row);
        for (int j = 0; j < n; ++j) shares.share[i * n + j] = static_cast<float>(row[j]);
    }

    PerSupport dead_node_kg = mechanics::dead_load_N(scale.deck, scale.gravity);
    for (int j = 0; j < n; ++j) {
        double sum = 0.0;
        for (int l = 0; l < n; ++l) {
            const double shift = (l == j ? 1.0 : 0.0) - shares.of(l, j);
            sum += shift * shift;
            shares.dead_kg[j] += dead_node_kg[l] * shares.of(l, j) / scale.gravity;
        }
        shares.preload_kg[j] =
            scale.support_height_m * scale.support_stiffness_N_per_m / scale.gravity * std::sqrt(sum);
    }
    for (double& node : dead_node_kg) node /= scale.gravity;

    for (int i = 0; i < n; ++i) {
        bool lifts = false;
        for (int j = 0; j < n; ++j) lifts = lifts || shares.dead_kg[j] + mass_kg[i] * shares.of(i, j) < 0.0;
        if (lifts) lift_row(scale, dead_node_kg, i, scratch, shares);
    }
    return true;
}

}  // namespace cornerbench::diagnosis
