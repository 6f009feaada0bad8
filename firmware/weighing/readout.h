#pragma once

#include <cstdint>

#include "firmware/scale/units.h"
#include "firmware/weighing/division.h"
#include "firmware/weighing/no_weight.h"
#include "firmware/weighing/tare.h"

namespace cornerbench::weighing {

/// What an indicator knows at one moment: a weight, or why there is none.
struct Readout {
    NoWeight why = NoWeight::starting;
    std::int32_t channel = -1;  ///< the converter channel that `why` is about; -1: none, or all

    // Nothing below may be shown as a weight while `why` says that there is none; kg are before rounding.
    double gross_kg = 0.0;
    double tare_kg = 0.0;
    double net_kg = 0.0;
    ShownWeight gross;
    ShownWeight tare;
    ShownWeight net;
    scale::MassUnit unit = scale::MassUnit::kilogram;
    TareKind tare_kind = TareKind::none;
    bool stable = false;
    bool at_zero = false;
    bool degraded = false;  ///< a lost cell's share was taken from its neighbour: never for trade

    double ratio = 0.0;         ///< behind the weight, V/V; 0 without one
    std::int64_t taken_us = 0;  ///< of the newest sample behind it
    std::uint32_t number = 0;   ///< counts the readouts; wraps around

    bool has_weight() const { return why == NoWeight::none; }
};

}  // namespace cornerbench::weighing
