#include "sim/virtual_scale/indicator_settings.h"

#include <cmath>

#include "firmware/mechanics/deck.h"
#include "firmware/scale/numbering.h"
#include "sim/virtual_scale/box_identity.h"

namespace cornerbench::virtual_scale {

namespace {

/// Twice the zero tolerance: what a sound, unloaded cell gives, with room for its drift and for pick-up in
/// single samples. A cell turned over is below it with three times the zero tolerance's load on it, which
/// most decks are by themselves.
double least_channel_V_per_V(const scale::Description& d) {
    double least = 0.0;
    for (int i = 0; i < d.cell_count(); ++i) {
        const scale::Cell& cell = d.cells[static_cast<std::size_t>(i)];
        least = std::fmin(least, -2.0 * cell.zero_tolerance * cell.rated_output_V_per_V);
    }
    return least;
}

/// Of a load anywhere on the deck, the largest share that it lifts each support by, with half as much again:
/// stiffnesses are known to so much.
std::array<double, scale::max_cells> lifted_shares(const scale::Description& d) {
    constexpr int places_along = 32;
    constexpr int places_across = 8;
    const mechanics::DeckModel deck(scale::sound_condition(d));
    mechanics::ContactMemory memory = deck.slack_when_empty();
    const mechanics::DeckModel::Influence influence = deck.influence(deck.settle({}, memory));
    const double first_m = d.deck.section_x_m[0] - d.deck.overhang_m;
    const double last_m =
        d.deck.section_x_m[static_cast<std::size_t>(d.deck.sections - 1)] + d.deck.overhang_m;
    std::array<double, scale::max_cells> lifted{};
    for (int along = 0; along <= places_along; ++along) {
        for (int across = 0; across <= places_across; ++across) {
            const auto shares =
                mechanics::node_shares(d.deck, first_m + (last_m - first_m) * along / places_along,
                                       d.deck.width_m * across / places_across);
            for (std::size_t i = 0; i < static_cast<std::size_t>(d.cell_count()); ++i) {
                double share = 0.0;
                for (std::size_t node = 0; node < static_cast<std::size_t>(d.cell_count()); ++node)
                    share += influence[i][node] * shares[node];
                lifted[i] = std::fmax(lifted[i], -1.5 * share);
            }
        }
    }
    return lifted;
}

/// Rated output with its tolerance, and the zero balance beside it: a sound cell within its capacity gives no
/// more. A cell's reading drifts and settles by less than its zero tolerance.
void limit_cells(const scale::Description& d, weighing::WeigherSettings& settings) {
    const std::array<double, scale::max_cells> lifted = lifted_shares(d);
    for (int i = 0; i < d.cell_count(); ++i) {
        const auto at = static_cast<std::size_t>(i);
        const scale::Cell& cell = d.cells[at];
        settings.cell[at] = {
            cell.rated_output_V_per_V * (1.0 + cell.rated_output_tolerance + cell.zero_tolerance), lifted[at],
            cell.zero_tolerance * cell.capacity_kg};
    }
}

weighing::PartialRanges partial_ranges(const scale::Description& d) {
    weighing::PartialRanges ranges;
    const auto add = [&](const scale::PartialRange& range) {
        if (range.max_kg > 0.0) ranges.ranges[static_cast<std::size_t>(ranges.count++)] = range;
    };
    for (std::size_t i = d.finer.size(); i-- > 0;) add(d.finer[i]);
    add({d.max_kg, d.division_kg});
    return ranges;
}

weighing::WeigherSettings weigher_settings(const scale::Description& d, const weighing::Rules& rules) {
    weighing::WeigherSettings settings;
    settings.ranges = partial_ranges(d);
    settings.unit = d.unit;
    settings.converter.channels = d.converter == scale::Converter::per_cell ? d.cell_count() : 1;
    settings.converter.bits = d.converter_bits;
    settings.converter.rate_mHz = std::llround(1000.0 * d.rate_Hz);
    settings.converter.full_scale_V_per_V = d.full_scale_V_per_V;
    settings.noise_V_per_V = d.noise_V_rms / d.excitation_V;
    const double codes_per_ratio = std::ldexp(1.0, d.converter_bits - 1) / d.full_scale_V_per_V;
    settings.samples.stuck_frames = weighing::stuck_frames_for(settings.noise_V_per_V * codes_per_ratio);
    if (d.converter == scale::Converter::per_cell) settings.samples.least_V_per_V = least_channel_V_per_V(d);
    if (d.converter == scale::Converter::per_cell) limit_cells(d, settings);
    settings.zero = weighing::zero_settings(rules);
    settings.range = weighing::range_settings(rules);
    settings.weigh_degraded = rules.degraded_weight;
    for (int i = 0; i < d.cell_count(); ++i)
        settings.mate[static_cast<std::size_t>(i)] = static_cast<std::int8_t>(d.cell_count() - 1 - i);
    return settings;
}

}  // namespace

IndicatorSettings indicator_settings(const scale::Description& d, const weighing::Rules& rules) {
    IndicatorSettings settings;
    settings.weigher = weigher_settings(d, rules);
    settings.calibration.max_kg = d.max_kg;
    settings.calibration.division_kg = d.division_kg;
    settings.calibration.full_scale_ratio = d.full_scale_V_per_V * settings.weigher.converter.channels;
    settings.cell_count = d.cell_count();
    for (int i = 0; i < d.cell_count(); ++i) {
        const auto at = static_cast<std::size_t>(i);
        settings.cells[at] = {d.cells[at].capacity_kg, d.cells[at].rated_output_V_per_V};
    }
    settings.converter = d.converter;
    settings.gravity = d.gravity;
    settings.corners = diagnosis::corner_scale(d, {}, diagnosis::History::calibrated);
    // A box reads its own weight before rounding.
    settings.corners.resolution_kg = 0.1 * d.division_kg;
    settings.identity = box_identity();
    return settings;
}

IndicatorSettings indicator_settings(const files::ScaleFile& file) {
    const auto standard = files::standard_of(file);
    const weighing::Rules rules =
        standard.value ? standard.value->rules(file.accuracy_class) : weighing::oiml_r76_rules();
    return indicator_settings(file.description, rules);
}

}  // namespace cornerbench::virtual_scale
