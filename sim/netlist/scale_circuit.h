#pragma once

#include <span>
#include <vector>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/causes.h"
#include "firmware/weighing/still_scale.h"
#include "sim/netlist/node_volts.h"

namespace cornerbench::netlist {

/// The circuit of a scale as it stands under a load, with what is wrong with it.
struct ScaleCircuit {
    scale::Condition condition;
    circuit::Ratios ratios{};   ///< of the bridge at each box position
    mechanics::DeckState deck;  ///< on an error of which nothing else is filled
    Netlist drawing;
    Netlist sound;                 ///< the sound scale under the same load
    std::vector<NodeVolt> volts;   ///< at every node of `drawing`
    weighing::Indication reading;  ///< its ratio alone counts: there is no calibration here
};

/// What the supply gives, A; in a box with a channel per cell to all of them.
double excitation_A(const ScaleCircuit& circuit);

ScaleCircuit circuit_of(const scale::Description& description, std::span<const scale::Fault> faults,
                        const diagnosis::Load& load);

}  // namespace cornerbench::netlist
