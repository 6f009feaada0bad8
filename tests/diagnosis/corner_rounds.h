#pragma once

#include <algorithm>
#include <cmath>
#include <initializer_list>

#include "firmware/diagnosis/corner_check.h"
#include "firmware/diagnosis/corner_search.h"
#include "firmware/mechanics/deck.h"
#include "sim/field/corner_check_input.h"
#include "sim/field/places.h"
#include "sim/field/random_source.h"
#include "sim/field/simulated_sheet.h"

/// Rounds of corner readings on scales drawn at random, simulated by a technician who knows nothing of how
/// they are judged.
namespace cornerbench::oracle {

/// The first of 1, 2, 5 x 10^k that is not below `x`.
inline double even_figure(double x) {
    const double power = std::pow(10.0, std::floor(std::log10(x)));
    for (const double figure : {1.0, 2.0, 5.0}) {
        if (figure * power >= 0.999 * x) return figure * power;
    }
    return 10.0 * power;
}

inline double log_between(field::RandomSource& random, double low, double high) {
    return std::exp(random.between(std::log(low), std::log(high)));
}

/// A vehicle scale on 4 to 16 supports, in kg or lb, its deck anything from limp to stiff, its box with any
/// trim.
inline scale::Description random_vehicle_scale(field::RandomSource& random) {
    scale::Description d;
    const int sections = 2 + random.index(7);
    const bool pounds = random.share() < 0.3;
    d.unit = pounds ? scale::MassUnit::pound : scale::MassUnit::kilogram;
    const double unit_kg = scale::kilograms_in(d.unit);
    const double per_section = random.between(20.0e3, 30.0e3) * (pounds ? 2.0 : 1.0);
    const double max =
        std::min(std::floor(per_section * sections * 1.0e-4) * 1.0e4, pounds ? 240.0e3 : 120.0e3);
    d.max_kg = max * unit_kg;
    d.division_kg = even_figure(max / random.between(2500.0, 10000.0)) * unit_kg;

    d.deck.sections = sections;
    double x_m = 0.0;
    for (int s = 0; s < sections; ++s) {
        d.deck.section_x_m[static_cast<unsigned>(s)] = x_m;
        if (s + 1 < sections) x_m += random.between(3.0, 7.5);
    }
    d.deck.width_m = random.between(2.0, 3.4);
    d.deck.overhang_m = random.between(0.0, 0.6);
    d.deck.mass_kg = (x_m + 2.0 * d.deck.overhang_m) * d.deck.width_m * random.between(200.0, 900.0);
    if (random.share() > 0.25) d.deck.twist_stiffness_N_m_per_rad = log_between(random, 1.0e5, 1.0e9);
    if (random.share() < 0.3) d.deck.joint_stiffness_N_m_per_rad = log_between(random, 1.0e5, 1.0e8);
    d.support_stiffness_N_per_m = log_between(random, 3.0e7, 3.0e8);
    d.home_run_m = random.between(5.0, 200.0);
    d.full_scale_V_per_V = 6.0e-3;

    switch (random.index(5)) {
        case 0:
            break;
        case 1:
            d.trim = {scale::TrimKind::excitation_series, 20.0, 25.0, 0.0, 0.0};
            break;
        case 2:
            d.trim = {scale::TrimKind::excitation_series, 20.0, 0.0, 0.0, 0.0};
            break;
        case 3:
            d.trim = {scale::TrimKind::signal_shunt, 200.0e3, 15.0, 20.0e3, 1000.0};
            break;
        default:
            d.trim = {scale::TrimKind::signal_shunt, 200.0e3, 0.0, 20.0e3, 500.0};
            break;
    }
    scale::Cell cell;
    cell.capacity_kg = even_figure(d.max_kg / d.cell_count() * random.between(2.5, 3.5));
    cell.rated_output_V_per_V = random.share() < 0.3 ? 3.0e-3 : 2.0e-3;
    cell.cable_m = random.between(4.0, 30.0);
    cell.trim_at = d.trim.kind == scale::TrimKind::excitation_series
                       ? scale::trim_last_position(d.trim) * random.between(0.0, 0.6)
                       : 0.0;
    d.cells.fill(cell);
    return d;
}

/// The same with a converter for every cell.
inline scale::Description random_per_cell_scale(field::RandomSource& random) {
    scale::Description d = random_vehicle_scale(random);
    d.converter = scale::Converter::per_cell;
    d.trim = {};
    for (scale::Cell& cell : d.cells) cell.trim_at = 0.0;
    return d;
}

/// A round of corners on one scale, with what is drawn beside it.
struct Round {
    scale::Description description;
    field::SheetPlan plan;
    field::SheetSetting setting;
    std::uint64_t seed = 0;

    field::SimulatedSheet sheet(std::span<const scale::Fault> faults, bool noisy = true) const {
        field::SheetSetting as = setting;
        as.noisy = noisy;
        return field::simulate_sheet(description, faults, seed, plan, as);
    }
};

inline Round random_round(field::RandomSource& random, const scale::Description& description,
                          std::uint64_t seed) {
    Round round;
    round.description = description;
    round.seed = seed;
    round.plan.excitation = round.plan.sections = round.plan.channels = false;
    round.plan.input_output = round.plan.insulation = false;
    round.plan.empty_signals = round.plan.loaded_signals = false;
    round.setting.history =
        random.share() < 0.5 ? diagnosis::History::calibrated : diagnosis::History::unadjusted;
    round.setting.zeroed = random.share() < 0.5 ? diagnosis::Zeroed::now : diagnosis::Zeroed::before;
    return round;
}

/// True when every support carries some of the empty deck, and no mass tips it: a deck that hangs over one of
/// its supports is faulty before any other fault comes, and one that tips shows nothing.
inline bool stands_well(const Round& round) {
    const field::SimulatedSheet sheet = round.sheet({});
    mechanics::DeckState empty;
    mechanics::DeckModel(sheet.truth).slack_when_empty(&empty);
    if (empty.error != mechanics::DeckError::none || sheet.error != mechanics::DeckError::none) return false;
    for (int i = 0; i < sheet.truth.cell_count; ++i) {
        if (empty.lifted[static_cast<unsigned>(i)]) return false;
    }
    return true;
}

inline bool stands_at(const scale::Site& site, int support) {
    return site.kind == scale::SiteKind::support && site.index == support;
}

using Kinds = std::initializer_list<diagnosis::CornerFindingKind>;

/// The finding of one of `kinds` at `support`, or null.
inline const diagnosis::CornerFinding* found(const diagnosis::CornerReport& report, int support,
                                             Kinds kinds) {
    for (int f = 0; f < report.count; ++f) {
        const diagnosis::CornerFinding& finding = report.findings[static_cast<unsigned>(f)];
        if (!stands_at(finding.place, support)) continue;
        if (std::find(kinds.begin(), kinds.end(), finding.kind) != kinds.end()) return &finding;
    }
    return nullptr;
}

/// Most successes of `trials` at probability `p` that chance exceeds less than once in a thousand times:
/// Poisson's distribution for small means, else the normal one with the continuity correction.
inline int most_by_chance(int trials, double p) {
    const double mean = trials * p;
    if (mean >= 10.0) return static_cast<int>(std::ceil(mean + 3.09 * std::sqrt(mean * (1.0 - p)) + 0.5));
    double term = std::exp(-mean);
    double sum = term;
    int k = 0;
    while (1.0 - sum > 1.0e-3) {
        term *= mean / ++k;
        sum += term;
    }
    return k;
}

}  // namespace cornerbench::oracle
