#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "firmware/scale/condition.h"
#include "sim/netlist/netlist.h"

/// What the core computes at the nodes of a scale's drawing.
namespace cornerbench::netlist {

/// The potential of one node, V.
struct NodeVolt {
    std::string node;
    std::optional<double> volt;  ///< against half way up the excitation; none where the node hangs free
};

/// Every node of `drawing`, which must be `draw_scale` of the same condition and ratios, in the order in
/// which it names them.
std::vector<NodeVolt> node_volts(const scale::Condition& condition, std::span<const double> ratios,
                                 const Netlist& drawing);

}  // namespace cornerbench::netlist
