#pragma once

#include <string>
#include <vector>

#include "firmware/circuit/box.h"

/// Terminals that a meter's probes can be held on. In order: for each box position the five wires where they
/// land in the box, then the five terminals of the cell that it goes to, each E+ E- S+ S- shield; then the
/// bus in the same order; then the indicator's E+ E- S+ S- sense+ sense- shield.
namespace cornerbench::page {

inline constexpr int terminals_per_position = 2 * scale::wire_count;
inline constexpr int indicator_terminals = 7;

constexpr int terminal_count(int positions) {
    return positions * terminals_per_position + scale::wire_count + indicator_terminals;
}

/// Their potentials, V, against the supply's middle. A box with a channel per cell is solved as each cell
/// sees it; its bus and indicator as the first one does.
std::vector<double> terminal_volts(const circuit::Box& box, const scale::Condition& condition,
                                   const circuit::Ratios& ratios);

}  // namespace cornerbench::page
