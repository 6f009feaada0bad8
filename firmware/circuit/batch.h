#pragma once

#include <span>

#include "firmware/circuit/box.h"

/// One box under many loads at once.
namespace cornerbench::circuit {

/// Variants solved side by side.
inline constexpr int batch_lanes = 8;

/// Where a batch's results go, each span with room for one per variant. An empty span is left alone.
struct BatchOutput {
    std::span<double> ratio;  ///< as BoxOutput has it, bit for bit
    std::span<double> reference_V;
    std::span<bool> reference_missing;
    std::span<double> channel;  ///< of a per-cell box, at [position * variants + variant]
};

/// Output of `box` for `variants` sets of bridge ratios, V/V, at [position * variants + variant].
void outputs(const Box& box, std::span<const double> bridge_ratios, int variants, const BatchOutput& out);

}  // namespace cornerbench::circuit
