#pragma once

#include "firmware/watch/chart.h"
#include "firmware/watch/passage_finder.h"
#include "firmware/watch/truck_numbers.h"

/// What the box learns of its scale from ordinary trucks, without a test weight.
namespace cornerbench::watch {

/// What a watch has to know of the scale, and how rarely it may cry wolf.
struct WatchSettings {
    int channels = 1;  ///< 1 for a box with one converter on the sum, else one per support
    int sections = 2;
    double max_kg = 0.0;
    double division_kg = 0.0;
    /// On a sound scale, over all numbers together.
    double false_alarms_per_1000_trucks = 1.0;
};

/// Bounded in memory and in work: an output costs O(channels), a truck O(channels + sections). Not kept
/// without power: it learns anew, which takes `learning_numbers` trucks.
class TrafficWatch {
  public:
    TrafficWatch() = default;

    /// Settings that no scale has (sections, channels, Max, division) watch nothing.
    explicit TrafficWatch(const WatchSettings& settings);

    /// Every output of the filter, in order. True when it ended a truck's passage.
    bool take(const WatchedOutput& output);

    /// Outputs are missing or not valid; `channel` whose, or -1.
    void interrupt(int channel);

    /// Learns anew: mended, adjusted or calibrated.
    void restart();

    const NumberList& numbers() const { return list_; }
    const Chart& chart(int number) const { return chart_[static_cast<std::size_t>(number)]; }
    /// How end number `end` answers to a relative gain of `channel`, on the mean of late trucks.
    double answer(int end, int channel) const {
        return answer_[static_cast<std::size_t>(end)][static_cast<std::size_t>(channel)];
    }
    /// Share of what stood that `channel` carried, on the mean of late trucks.
    double share(int channel) const { return share_[static_cast<std::size_t>(channel)]; }
    bool alarmed() const { return changed_count() > 0; }
    /// How many numbers have moved since the box learnt.
    int changed_count() const;
    /// The number that was noticed first to have moved, of several the one that has moved most; -1: none has.
    int first_changed() const;

    std::uint32_t trucks() const { return finder_.trucks(); }
    std::uint32_t judged() const { return judged_; }
    const Passage& last_passage() const { return finder_.passage(); }
    /// Truck with which the box first had to refuse a signal of `channel`; 0: never.
    std::uint32_t refused_since(int channel) const { return refused_[static_cast<std::size_t>(channel)]; }
    const ChartSettings& chart_settings(NumberKind kind) const;
    const WatchSettings& settings() const { return settings_; }

  private:
    void learn(const Passage& passage);

    WatchSettings settings_;
    NumberList list_;
    PassageFinder finder_;
    std::array<ChartSettings, 4> chart_settings_{};  ///< shares, ratios, kg, zeros
    std::array<Chart, max_numbers> chart_{};
    std::array<std::array<double, scale::max_cells>, end_numbers> answer_{};
    ChannelLevels share_{};
    ChannelLevels last_empty_{};
    bool last_empty_known_ = false;
    std::uint32_t judged_ = 0;
    std::array<std::uint32_t, scale::max_cells> refused_{};
};

/// What it takes in a box, bytes.
inline constexpr std::size_t watch_bytes = 10240;
static_assert(sizeof(TrafficWatch) <= watch_bytes);

}  // namespace cornerbench::watch
