#include "firmware/watch/weigher_watch.h"

namespace cornerbench::watch {

namespace {

WatchSettings settings_of(const weighing::WeigherSettings& weigher, int cells) {
    WatchSettings settings;
    const weighing::PartialRanges& ranges = weigher.ranges;
    if (ranges.count < 1 || ranges.count > weighing::max_partial_ranges) return settings;
    settings.channels = weigher.converter.channels;
    settings.sections = cells / 2;
    settings.max_kg = ranges.ranges[static_cast<std::size_t>(ranges.count - 1)].max_kg;
    settings.division_kg = ranges.ranges[0].division_kg;
    return settings;
}

}  // namespace

WeigherWatch::WeigherWatch(const weighing::WeigherSettings& settings, int cells)
    : traffic_(settings_of(settings, cells)) {}

bool WeigherWatch::due(const weighing::Weigher& weigher) {
    if (weigher.breaks() != breaks_) {
        breaks_ = weigher.breaks();
        traffic_.interrupt(weigher.readout().channel);
    }
    if (weigher.outputs() == outputs_) return false;
    outputs_ = weigher.outputs();
    return weigher.zero_established();
}

void WeigherWatch::take(const weighing::Weigher& weigher, std::span<const double> channel_kg,
                        std::int64_t now_us) {
    // One channel: the weight before zero, so that a zero that is followed hides nothing.
    const double sum_kg = weigher.momentary_kg();
    WatchedOutput output;
    output.gross_kg = sum_kg - weigher.zero_offset_kg();
    output.at_rest = weigher.at_rest();
    output.taken_us = now_us;
    output.channel_kg = channel_kg.empty() ? std::span(&sum_kg, 1) : channel_kg;
    (void)traffic_.take(output);
}

}  // namespace cornerbench::watch
