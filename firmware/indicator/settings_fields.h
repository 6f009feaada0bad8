#pragma once

#include "firmware/indicator.h"

/// Every value of the settings in one order, for whoever writes or reads them.
///
/// Structures are taken apart by name: a member that is added, and not passed on here, does not compile.
namespace cornerbench::settings_fields {

inline constexpr std::int64_t longest_time_us = 1'000'000'000'000'000;  ///< thirty years

template <class Archive, class Ranges>
void each_range(Archive& archive, Ranges& settings) {
    auto& [ranges, count] = settings;
    for (auto& [max_kg, division_kg] : ranges) archive.numbers(max_kg, division_kg);
    archive.whole(count, 0, weighing::max_partial_ranges);
}

template <class Archive, class Traits>
void each_trait(Archive& archive, Traits& settings) {
    auto& [channels, bits, rate_mHz, full_scale] = settings;
    archive.whole(channels, 1, hal::max_channels);
    archive.whole(bits, 1, 32);
    archive.whole(rate_mHz, 1, 1'000'000'000);
    archive.numbers(full_scale);
}

template <class Archive, class Filter>
void each_of_filter(Archive& archive, Filter& settings) {
    auto& [rate_mHz, mains, first_order, second_order, bits] = settings;
    archive.whole(rate_mHz, 0, 1'000'000'000);
    archive.word(mains, weighing::Mains::hz_60);
    archive.whole(first_order, 0, weighing::max_sinc_order);
    archive.whole(second_order, 0, weighing::max_sinc_order);
    archive.whole(bits, 0, 32);
}

template <class Archive, class Zero>
void each_of_zero(Archive& archive, Zero& settings) {
    auto& [initial_below, initial_above, setting_below, setting_above, tracking, window, speed, longest_step,
           centre] = settings;
    archive.numbers(initial_below, initial_above, setting_below, setting_above, window, speed, centre);
    archive.flag(tracking);
    archive.whole(longest_step, 0, longest_time_us);
}

template <class Archive, class Weigher>
void each_of_weigher(Archive& archive, Weigher& settings) {
    auto& [ranges, unit, converter, filter, samples, noise, longest_average, stability, zero, range, stale_us,
           mate, weigh_degraded, cells] = settings;
    each_range(archive, ranges);
    archive.word(unit, scale::MassUnit::pound);
    each_trait(archive, converter);
    each_of_filter(archive, filter);
    auto& [stuck_frames, latest_share, least] = samples;
    archive.whole(stuck_frames, 0, 1'000'000'000);
    archive.numbers(latest_share, least, noise);
    archive.whole(longest_average, 0, 1'000'000);
    auto& [band, values] = stability;
    archive.numbers(band);
    archive.whole(values, 0, 1'000'000);
    each_of_zero(archive, zero);
    auto& [over_divisions, over_share, under_divisions] = range;
    archive.numbers(over_divisions, over_share, under_divisions);
    archive.whole(stale_us, 0, longest_time_us);
    for (auto& channel : mate) archive.whole(channel, -scale::max_cells, scale::max_cells - 1);
    archive.flag(weigh_degraded);
    for (auto& [most, lifted_share, least_drop] : cells) archive.numbers(most, lifted_share, least_drop);
}

template <class Archive, class Corners>
void each_of_corners(Archive& archive, Corners& settings) {
    auto& [deck, gravity, stiffness, resolution, repeatability, placing, support_stiffness, structure, height,
           gain, span, zero, zero_return, hysteresis, channel, channel_gain, false_alarms] = settings;
    auto& [mass, sections, section_x, width, overhang, twist, joint] = deck;
    archive.whole(sections, 0, scale::max_sections);
    for (auto& x : section_x) archive.numbers(x);
    archive.numbers(mass, width, overhang, twist, joint, gravity, stiffness, resolution, repeatability,
                    placing, support_stiffness, structure, height, span, zero, zero_return, hysteresis,
                    channel, channel_gain, false_alarms);
    for (auto& each : gain) archive.numbers(each);
}

/// Calls `archive` for every value of `settings`: `numbers` for doubles, `whole` for integers with the least
/// and the largest one that can be, `word` for an enumeration with its last, `flag` and `text`.
template <class Archive, class Settings>
void each(Archive& archive, Settings& settings) {
    auto& [weigher, calibration, cells, cell_count, converter, gravity, corners, find_zero, keep_divisions,
           keep_us, identity] = settings;
    each_of_weigher(archive, weigher);
    auto& [max, division, curved, full_scale, least_ratio, least_span, residual, curvature] = calibration;
    archive.numbers(max, division, full_scale, least_ratio, least_span, residual, curvature);
    archive.flag(curved);
    for (auto& [capacity, rated_output] : cells) archive.numbers(capacity, rated_output);
    archive.whole(cell_count, 0, scale::max_cells);
    archive.word(converter, scale::Converter::per_cell);
    archive.numbers(gravity, keep_divisions);
    each_of_corners(archive, corners);
    archive.flag(find_zero);
    archive.whole(keep_us, 0, longest_time_us);
    auto& [maker, model, serial, version] = identity;
    archive.text(maker);
    archive.text(model);
    archive.text(serial);
    archive.text(version);
}

}  // namespace cornerbench::settings_fields
