#include "sim/bad_days/other_load.h"

#include <cmath>
#include <utility>

#include "firmware/mechanics/deck.h"
#include "firmware/scale/condition.h"

namespace cornerbench::bad_days {

namespace {

/// A scale shows less than nothing down to here (`weighing::RangeSettings`).
constexpr double shown_below_divisions = 20.0;

constexpr double little_m = 1.0e-6;

}  // namespace

OtherLoad::OtherLoad(const scale::Description& d) : count_(d.cell_count()) {
    const mechanics::DeckModel deck(scale::sound_condition(d));
    mechanics::ContactMemory memory = deck.slack_when_empty();
    const mechanics::DeckModel::Influence share = deck.influence(deck.settle({}, memory));
    // The influence, turned round by elimination with pivots.
    const auto n = static_cast<std::size_t>(count_);
    std::vector<double> a(n * n);
    load_of_.assign(n * n, 0.0);
    for (std::size_t i = 0; i < n; ++i) {
        for (std::size_t j = 0; j < n; ++j) a[i * n + j] = share[i][j];
        load_of_[i * n + i] = 1.0;
        allowed_kg_[i] =
            d.cells[i].zero_tolerance * d.cells[i].capacity_kg + shown_below_divisions * d.division_kg;
    }
    for (std::size_t k = 0; k < n; ++k) {
        std::size_t pivot = k;
        for (std::size_t i = k; i < n; ++i)
            if (std::fabs(a[i * n + k]) > std::fabs(a[pivot * n + k])) pivot = i;
        for (std::size_t j = 0; j < n; ++j) {
            std::swap(a[k * n + j], a[pivot * n + j]);
            std::swap(load_of_[k * n + j], load_of_[pivot * n + j]);
        }
        for (std::size_t i = 0; i < n; ++i) {
            if (i == k) continue;
            const double factor = a[i * n + k] / a[k * n + k];
            for (std::size_t j = 0; j < n; ++j) {
                a[i * n + j] -= factor * a[k * n + j];
                load_of_[i * n + j] -= factor * load_of_[k * n + j];
            }
        }
    }
    for (std::size_t i = 0; i < n; ++i)
        for (std::size_t j = 0; j < n; ++j) load_of_[i * n + j] /= a[i * n + i];

    const mechanics::DeckState sound = deck.settle({}, memory);
    settled_.assign(n * n, 0.0);
    for (std::size_t j = 0; j < n; ++j) {
        scale::Condition lower = scale::sound_condition(d);
        lower.supports[j].height_m -= little_m;
        const mechanics::DeckModel lowered(lower);
        mechanics::ContactMemory contacts = lowered.slack_when_empty();
        const mechanics::DeckState state = lowered.settle({}, contacts);
        const double lost_N = sound.support_N[j] - state.support_N[j];
        most_settled_kg_[j] = 0.5 * sound.support_N[j] / d.gravity;
        if (lost_N <= 0.0) continue;
        std::array<double, scale::max_cells> change{};
        for (std::size_t i = 0; i < n; ++i) change[i] = (state.support_N[i] - sound.support_N[i]) / lost_N;
        const auto load = over_supports(change);
        for (std::size_t i = 0; i < n; ++i) settled_[i * n + j] = load[i];
    }
}

std::array<double, scale::max_cells> OtherLoad::over_supports(std::span<const double> change_kg) const {
    std::array<double, scale::max_cells> load{};
    const auto n = static_cast<std::size_t>(count_);
    for (std::size_t i = 0; i < n; ++i)
        for (std::size_t j = 0; j < n; ++j) load[i] += load_of_[i * n + j] * change_kg[j];
    return load;
}

double OtherLoad::unexplained_kg(std::span<const double> change_kg) const {
    const auto n = static_cast<std::size_t>(count_);
    auto load = over_supports(change_kg);
    double all_kg = 0.0;
    for (const double kg : load) all_kg += std::fmax(kg, 0.0);
    const auto missed = [&](std::size_t i) {
        return std::fmax(0.0, -load[i] - allowed_kg_[i] - 0.1 * all_kg);
    };
    // The sum of squares of what is missed has one lowest place: go down it, one support's settling at a
    // time.
    std::array<double, scale::max_cells> settled_kg{};
    for (int round = 0; round < 200; ++round) {
        double worst_kg = 0.0;
        for (std::size_t i = 0; i < n; ++i) worst_kg = std::fmax(worst_kg, missed(i));
        if (worst_kg == 0.0) return 0.0;
        for (std::size_t j = 0; j < n; ++j) {
            double slope = 0.0;
            double bend = 0.0;
            for (std::size_t i = 0; i < n; ++i) {
                slope += missed(i) * settled_[i * n + j];
                bend += settled_[i * n + j] * settled_[i * n + j];
            }
            if (bend == 0.0) continue;
            // What a settled support does to the readings is not a load: taken out of them.
            const double wanted = settled_kg[j] - slope / bend;
            const double there = std::fmin(std::fmax(wanted, -most_settled_kg_[j]), most_settled_kg_[j]);
            for (std::size_t i = 0; i < n; ++i) load[i] -= settled_[i * n + j] * (there - settled_kg[j]);
            settled_kg[j] = there;
        }
    }
    double worst_kg = 0.0;
    for (std::size_t i = 0; i < n; ++i) worst_kg = std::fmax(worst_kg, missed(i));
    return worst_kg;
}

}  // namespace cornerbench::bad_days
