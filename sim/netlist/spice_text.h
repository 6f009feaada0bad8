#pragma once

#include <string>
#include <vector>

#include "sim/netlist/netlist.h"

/// A netlist in the lines that every descendant of SPICE takes.
namespace cornerbench::netlist {

/// Volts between two nodes that a run prints, under a name of letters, digits and underlines.
struct Shown {
    std::string name;
    std::string plus;
    std::string minus;
    std::string over_plus;  ///< if not empty: divided by the volts between these two, in mV/V
    std::string over_minus;
};

/// What a netlist's text has beside its elements.
struct SpiceNotes {
    std::string title;
    std::vector<std::string> remarks;   ///< lines of comment at the top
    std::vector<Shown> shown;           ///< what the run prints; one with a node that hangs free is left out
    std::vector<std::string> currents;  ///< sources whose current the run prints
};

/// Resistors and sources under their names with headings as comments. Where an element differs from `sound`
/// (with which it may be one and the same) a comment says what it was; what `sound` alone has stands at the
/// end. Elements that hang free are comments, as no simulator finds their potential; those that carry no
/// current are joints with their ohms in a comment, which changes no potential and keeps the arithmetic
/// exact. Ends with a control block of ngspice that solves the operating point and prints `notes.shown`.
std::string spice_text(const Netlist& netlist, const Netlist& sound, const SpiceNotes& notes);

}  // namespace cornerbench::netlist
