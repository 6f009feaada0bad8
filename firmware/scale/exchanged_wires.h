#pragma once

#include "firmware/scale/causes.h"

namespace cornerbench::scale {

/// Two wires of a cell that stand on each other's terminals, `a` before `b`; none when `any` is false.
struct ExchangedWires {
    bool any = false;
    Wire a = Wire::excitation_plus;
    Wire b = Wire::excitation_plus;

    friend bool operator==(const ExchangedWires&, const ExchangedWires&) = default;
};

/// What the fault exchanges at its cell.
ExchangedWires exchanged_by(const Fault& fault);

/// Pairs of wires that may stand exchanged; the shield is none of them.
inline constexpr int exchangeable_pairs = live_wire_count * (live_wire_count - 1) / 2;

}  // namespace cornerbench::scale
