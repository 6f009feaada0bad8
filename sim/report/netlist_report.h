#pragma once

#include <ostream>
#include <string>
#include <vector>

#include "sim/files/scale_file.h"
#include "sim/netlist/scale_circuit.h"
#include "sim/report/json_document.h"
#include "sim/report/style.h"

/// The circuit of a scale as a netlist, and as a table of what a meter shows at its nodes.
namespace cornerbench::report {

/// What a circuit is printed from.
struct CircuitPage {
    const files::ScaleFile& scale;
    const netlist::ScaleCircuit& circuit;
    std::vector<std::string> faults;  ///< in the words of --with
    std::string load;                 ///< such as "10 000 kg over 3"
    std::string reference;  ///< node that the meter's minus lead is clipped to; empty: E- in the box
};

/// Where the minus lead is clipped for a node: `page.reference`, or E- of the bus that the node belongs to.
std::string reference_of(const CircuitPage& page, const std::string& node);

/// For any simulator that takes SPICE's lines; ngspice in batch mode prints what matters.
std::string netlist_text(const CircuitPage& page);

void print_probe(std::ostream& out, const CircuitPage& page, const Style& style);

/// The probe's volts at every node, and the netlist as text.
Json circuit_json(const CircuitPage& page);

}  // namespace cornerbench::report
