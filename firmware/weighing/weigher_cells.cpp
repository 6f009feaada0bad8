#include <algorithm>

#include "firmware/weighing/weigher.h"

/// What the weigher knows of one cell of many: only in a box with a channel for each.
namespace cornerbench::weighing {

void Weigher::keep_empty(std::span<const float> ratios) {
    if (!usable_) return;
    for (std::size_t i = 0; i < empty_.size(); ++i)
        empty_[i] = i < ratios.size() ? static_cast<double>(ratios[i]) / ratio_per_sum_ : 0.0;
    empty_known_ = true;
}

bool Weigher::empty_ratio(int channel, double& ratio) const {
    if (!empty_known_ || channel < 0 || channel >= settings_.converter.channels) return false;
    ratio = empty_[static_cast<std::size_t>(channel)] * ratio_per_sum_;
    return true;
}

/// A load presses: it takes from a support no more than the deck's lever lets it lift.
bool Weigher::lost_dead_load(std::size_t channel) const {
    const CellLimits& cell = settings_.cell[channel];
    if (cell.least_drop_kg <= 0.0 || !empty_known_ || !zero_.established()) return false;
    const double kg_per_sum = gain_[channel] * ratio_per_sum_ * calibration_.kg_per_ratio;
    const double dead_kg = empty_[channel] * kg_per_sum;
    const double drop_kg = dead_kg - static_cast<double>(filtered_[channel].sum) * kg_per_sum;
    // What it lost is missing in the gross weight too.
    const double live_kg = std::max(zero_.gross_kg(weight_kg_) + drop_kg, 0.0);
    return drop_kg > std::max(cell.least_drop_kg, 0.5 * dead_kg) + cell.lifted_share * live_kg;
}

void Weigher::judge_cells() {
    cell_why_ = NoWeight::none;
    cell_channel_ = -1;
    if (settings_.converter.channels < 2) return;
    for (int channel = 0; channel < settings_.converter.channels; ++channel) {
        const auto i = static_cast<std::size_t>(channel);
        if (!filtered_[i].valid) continue;
        const double most = settings_.cell[i].most_V_per_V;
        const bool over = most > 0.0 && static_cast<double>(filtered_[i].sum) * ratio_per_sum_ > most;
        if (!over && !(calibrated_ && weighed_ && lost_dead_load(i))) continue;
        cell_why_ = over ? NoWeight::cell_overloaded : NoWeight::cell_unloaded;
        cell_channel_ = channel;
        if (over) return;
    }
}

bool Weigher::channel_ratio(int channel, double& ratio) const {
    if (channel < 0 || channel >= settings_.converter.channels) return false;
    if (latest_ == NoWeight::samples_stale || board_ != NoWeight::none) return false;
    const Filtered& filtered = filtered_[static_cast<std::size_t>(channel)];
    if (!filtered.valid) return false;
    ratio = static_cast<double>(filtered.sum) * ratio_per_sum_;
    return true;
}

}  // namespace cornerbench::weighing
