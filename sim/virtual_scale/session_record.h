#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/diagnosis/corner_report.h"
#include "firmware/watch/traffic_watch.h"
#include "firmware/weighing/readout.h"

namespace cornerbench::virtual_scale {

/// One moment of the trace.
struct TracePoint {
    double t_s = 0.0;
    double true_kg = 0.0;  ///< mass on the deck
    weighing::NoWeight why = weighing::NoWeight::none;
    double shown_kg = 0.0;  ///< gross as shown, rounded; nothing while `why` says that there is none
    bool stable = false;
    bool dark = false;                ///< no power: nothing is shown, the reason included
    bool degraded = false;            ///< without one cell: not for trade
    std::uint32_t over_capacity = 0;  ///< one bit per cell that truly carries more than its capacity

    bool shows_weight() const { return !dark && why == weighing::NoWeight::none; }
    /// Why there is no weight, in words; empty with one.
    std::string_view no_weight() const { return dark ? "dark" : weighing::words(why); }
};

/// Something that was done, and what came of it.
struct SessionEvent {
    double t_s = 0.0;
    std::string done;
    std::string result;
    bool refused = false;
};

/// A printed weight beside the truth.
struct Printed {
    double t_s = 0.0;
    std::string what;  ///< the vehicle or load that stood there
    double gross_kg = 0.0;
    double tare_kg = 0.0;
    double net_kg = 0.0;
    double true_kg = 0.0;
    double limit_kg = 0.0;            ///< largest error in service by the scale's standard
    double waited_s = 0.0;            ///< from the moment the load stood still to the stable weight
    bool degraded = false;            ///< without one cell: not for trade
    std::uint32_t over_capacity = 0;  ///< one bit per cell that truly carries more than its capacity
    /// Error of the rounded weight is within the limit.
    bool within() const {
        const double error = gross_kg - true_kg;
        return error <= limit_kg && error >= -limit_kg;
    }
};

/// What came of a session: everything that a report needs.
struct SessionRecord {
    std::string scale;
    std::string session;
    std::uint64_t seed = 0;
    double seconds = 0.0;
    std::vector<SessionEvent> events;
    std::vector<Printed> tickets;
    std::vector<TracePoint> trace;
    std::uint64_t state_hash = 0;
    std::uint32_t calibration_changes = 0;
    std::string corner_check;  ///< what the box said of its corners; empty when no round was made
    /// False when a ticket missed its limit or a step could not be done.
    bool well = true;
    /// False when a part of the recording that was asked for could not be written.
    bool recorded_whole = true;
    std::optional<diagnosis::CornerReport> corner_report{};  ///< of the last round
    /// The most that each cell truly carried, over its capacity, while the trace was taken.
    std::array<double, scale::max_cells> most_share{};
    /// What the box learnt from the traffic since it last had power; empty without power at the end.
    std::optional<watch::TrafficWatch> traffic;
};

}  // namespace cornerbench::virtual_scale
