#include "firmware/watch/traffic_watch.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::watch {

namespace {

/// Differences smaller than these are not worth a visit: a twentieth of a percent of a load, a quarter of a
/// division.
constexpr double share_floor = 5.0e-4;
constexpr double kg_floor_divisions = 0.25;
constexpr double late_trucks = 12.0;

bool can_be(const WatchSettings& s) {
    return s.sections >= 2 && s.sections <= scale::max_sections &&
           (s.channels == 1 || s.channels == 2 * s.sections) && s.max_kg > 0.0 && s.division_kg > 0.0 &&
           s.false_alarms_per_1000_trucks > 0.0;
}

}  // namespace

TrafficWatch::TrafficWatch(const WatchSettings& settings) : settings_(settings) {
    if (!can_be(settings)) return;
    list_ = {settings.channels, settings.sections};
    finder_ = PassageFinder({settings.max_kg, settings.channels});
    const double run_length = 1000.0 * list_.count() / settings.false_alarms_per_1000_trucks;
    ChartSettings chart;
    chart.threshold = threshold_for(chart.reference, run_length);
    chart_settings_.fill(chart);
    chart_settings_[0].floor = share_floor;
    chart_settings_[1].floor = share_floor;
    chart_settings_[2].floor = chart_settings_[3].floor = kg_floor_divisions * settings.division_kg;
    // A zero moves once and stays there: one truck must be enough.
    chart_settings_[3].most_sigmas = chart.threshold + 1.0;
}

const ChartSettings& TrafficWatch::chart_settings(NumberKind kind) const {
    switch (kind) {
        case NumberKind::lateral:
            return chart_settings_[0];
        case NumberKind::gap:
        case NumberKind::hysteresis:
        case NumberKind::zero_return:
        case NumberKind::zero_moved:
            return chart_settings_[kind == NumberKind::zero_return || kind == NumberKind::zero_moved ? 3 : 2];
        default:
            return chart_settings_[1];
    }
}

bool TrafficWatch::take(const WatchedOutput& output) {
    if (list_.channels == 0 || !finder_.take(output)) return false;
    learn(finder_.passage());
    return true;
}

void TrafficWatch::interrupt(int channel) {
    finder_.interrupt();
    last_empty_known_ = false;
    if (channel < 0 || channel >= list_.channels) return;
    std::uint32_t& since = refused_[static_cast<std::size_t>(channel)];
    if (since == 0) since = finder_.trucks() + 1;
}

void TrafficWatch::restart() {
    finder_.restart();
    for (Chart& chart : chart_) chart.restart();
    for (auto& answer : answer_) answer = {};
    share_ = {};
    last_empty_known_ = false;
    judged_ = 0;
    refused_ = {};
}

int TrafficWatch::changed_count() const {
    int changed = 0;
    for (int n = 0; n < list_.count(); ++n) changed += chart(n).alarmed() ? 1 : 0;
    return changed;
}

int TrafficWatch::first_changed() const {
    const auto moved = [this](int n) {
        const double deviation = chart(n).deviation();
        return deviation > 0.0 ? std::fabs(chart(n).recent() - chart(n).mean()) / deviation : 0.0;
    };
    int first = -1;
    for (int n = 0; n < list_.count(); ++n) {
        if (!chart(n).alarmed()) continue;
        const bool before = first < 0 || chart(n).alarm_truck() < chart(first).alarm_truck();
        const bool with = first >= 0 && chart(n).alarm_truck() == chart(first).alarm_truck();
        if (before || (with && moved(n) > moved(first))) first = n;
    }
    return first;
}

void TrafficWatch::learn(const Passage& passage) {
    TruckNumbers numbers = truck_numbers(list_, passage);
    const double total_kg = passage.total(passage.stood);
    const double weight = 1.0 / std::min(judged_ + 1.0, late_trucks);
    for (int i = 0; i < list_.channels; ++i) {
        const auto at = static_cast<std::size_t>(i);
        share_[at] += weight * (passage.stood[at] / total_kg - share_[at]);
        if (last_empty_known_)
            numbers.set(list_.find(NumberKind::zero_moved, i), passage.empty_before[at] - last_empty_[at]);
        last_empty_[at] = passage.empty_before[at] + passage.returned[at];
    }
    last_empty_known_ = true;
    for (std::size_t end = 0; end < answer_.size(); ++end)
        for (std::size_t i = 0; i < answer_[end].size(); ++i)
            answer_[end][i] += weight * (numbers.answer[end][i] - answer_[end][i]);
    ++judged_;
    for (int n = 0; n < list_.count(); ++n) {
        if (!numbers.is_known(n)) continue;
        chart_[static_cast<std::size_t>(n)].take(numbers.value[static_cast<std::size_t>(n)], passage.truck,
                                                 chart_settings(list_.kind(n)));
    }
}

}  // namespace cornerbench::watch
