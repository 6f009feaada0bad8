#pragma once

#include "firmware/watch/traffic_watch.h"
#include "firmware/weighing/weigher.h"

namespace cornerbench::watch {

/// A traffic watch on what a weigher weighs.
class WeigherWatch {
  public:
    WeigherWatch() = default;
    WeigherWatch(const weighing::WeigherSettings& settings, int cells);

    /// To be asked after every frame: whether the weigher has a new output to take. Breaks are taken at once.
    bool due(const weighing::Weigher& weigher);

    /// `channel_kg` by each channel of a box with several, corner gains included; else empty.
    void take(const weighing::Weigher& weigher, std::span<const double> channel_kg, std::int64_t now_us);

    /// The calibration has changed: learns anew.
    void restart() { traffic_.restart(); }

    const TrafficWatch& traffic() const { return traffic_; }

  private:
    TrafficWatch traffic_;
    std::uint32_t outputs_ = 0;
    std::uint32_t breaks_ = 0;
};

}  // namespace cornerbench::watch
