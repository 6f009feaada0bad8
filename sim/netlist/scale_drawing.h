#pragma once

#include <span>

#include "firmware/scale/condition.h"
#include "sim/netlist/netlist.h"

/// A scale's circuit drawn from its condition: every screw, conductor and joint a named node or a resistor of
/// its own, nothing merged or reduced. It shares no line with firmware/circuit, so that solved by somebody
/// else's software it is what the core is held against. The reference is half way up the excitation.
namespace cornerbench::netlist {

/// A cell with its cable, its bridge at the open-circuit `ratio` (V/V).
void draw_cell(int cell, const scale::CellCondition& condition, double ratio, Netlist& n);

/// The wire of a cell that sits on a terminal.
scale::Wire wire_on(const scale::CellCondition& cell, scale::Wire terminal);

/// The whole circuit at one open-circuit ratio per box position. In a box with a channel per cell each has
/// its own bus and supply, as each is converted by itself; `only` >= 0 draws that one alone.
Netlist draw_scale(const scale::Condition& condition, std::span<const double> ratios, int only = -1);

}  // namespace cornerbench::netlist
