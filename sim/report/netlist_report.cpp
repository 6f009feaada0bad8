#include "sim/report/netlist_report.h"

#include <cmath>
#include <map>

#include <spdlog/fmt/fmt.h>

#include "sim/netlist/node_names.h"
#include "sim/netlist/scale_drawing.h"
#include "sim/netlist/spice_text.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using netlist::BusNames;
using scale::HomeWire;
using scale::Wire;

namespace {

constexpr std::array<Wire, scale::wire_count> wires{Wire::excitation_plus, Wire::excitation_minus,
                                                    Wire::signal_plus, Wire::signal_minus, Wire::shield};

bool per_cell(const CircuitPage& page) {
    return page.circuit.condition.converter == scale::Converter::per_cell;
}

int cell_of(const CircuitPage& page, int position) {
    return page.circuit.condition.positions[static_cast<unsigned>(position)].cell;
}

std::vector<std::string> remarks(const CircuitPage& page) {
    const scale::Condition& c = page.circuit.condition;
    const MassWords mass(page.scale.description);
    std::vector<std::string> lines;
    if (page.faults.empty()) lines.emplace_back("Nothing is wrong with it.");
    for (const std::string& fault : page.faults) lines.push_back("Wrong with it: " + fault);
    lines.push_back("On the deck: " + page.load);
    lines.emplace_back();
    lines.emplace_back("Ohm and volt throughout. Node 0 is half way up the excitation.");
    lines.emplace_back("cellN_...      a terminal inside cell N; cellN_wire_... the box end of its cable");
    lines.emplace_back("terminalN_...  the box side of the screws at place N, ahead of its trim");
    lines.emplace_back(per_cell(page) ? "channelN_...   the bars of place N, converted by themselves"
                                      : "box_...        the bars on which all cells meet");
    lines.emplace_back("Arms 1 to 4 of a bridge: E+ to S+, S+ to E-, E- to S-, S- to E+.");
    lines.emplace_back("A V_ of 0 V is a joint without resistance.");
    if (c.shield_bond == scale::ShieldBond::floating) {
        lines.emplace_back("The shields float: only insulation holds them, and a simulator that calculates");
        lines.emplace_back("in doubles finds their volts to a thousandth of the excitation, no better.");
    }
    lines.emplace_back();
    lines.push_back("place  cell  support carries " + mass.unit() + "  bridge mV/V");
    for (int p = 0; p < c.cell_count; ++p) {
        const int cell = cell_of(page, p);
        const double kg = page.circuit.deck.support_N[static_cast<unsigned>(cell)] / c.gravity;
        lines.push_back(fmt::format("{:>5}  {:>4}  {:>{}}  {:>11.6f}", p + 1, cell + 1, mass.number(kg),
                                    16 + mass.unit().size(),
                                    1.0e3 * page.circuit.ratios[static_cast<unsigned>(p)]));
    }
    return lines;
}

std::vector<netlist::Shown> shown_by_a_run(const CircuitPage& page) {
    const scale::Condition& c = page.circuit.condition;
    std::vector<netlist::Shown> shown;
    const auto bus = [&](const BusNames& names) {
        const std::string& n = names.number();
        const auto at = [&names](HomeWire wire) { return names.indicator(wire); };
        const std::string s_plus = at(HomeWire::signal_plus);
        const std::string s_minus = at(HomeWire::signal_minus);
        const std::string sense_plus = at(HomeWire::sense_plus);
        const std::string sense_minus = at(HomeWire::sense_minus);
        shown.push_back({"converter" + n + "_signal_V", s_plus, s_minus, "", ""});
        shown.push_back({"converter" + n + "_reference_V", sense_plus, sense_minus, "", ""});
        shown.push_back({"converter" + n + "_reads_mV_per_V", s_plus, s_minus, sense_plus, sense_minus});
        if (!n.empty()) return;
        shown.push_back({"box_excitation_V", names.box(Wire::excitation_plus),
                         names.box(Wire::excitation_minus), "", ""});
        shown.push_back(
            {"box_signal_V", names.box(Wire::signal_plus), names.box(Wire::signal_minus), "", ""});
    };
    if (!per_cell(page)) bus(BusNames(-1));
    for (int p = 0; p < c.cell_count; ++p) {
        if (per_cell(page)) bus(BusNames(p));
        const int cell = cell_of(page, p);
        const std::string name = "cell" + std::to_string(cell + 1);
        const auto end = [cell](Wire wire) { return netlist::wire_end_node(cell, wire); };
        shown.push_back(
            {name + "_excitation_V", end(Wire::excitation_plus), end(Wire::excitation_minus), "", ""});
        shown.push_back({name + "_signal_V", end(Wire::signal_plus), end(Wire::signal_minus), "", ""});
    }
    return shown;
}

using Volts = std::map<std::string, std::optional<double>>;

Volts volts_of(const CircuitPage& page) {
    Volts volts{{netlist::reference_node, 0.0}};
    for (const netlist::NodeVolt& v : page.circuit.volts) volts[v.node] = v.volt;
    return volts;
}

std::optional<double> against_reference(const CircuitPage& page, const Volts& volts,
                                        const std::string& node) {
    const auto at = volts.find(node);
    const auto zero = volts.find(reference_of(page, node));
    if (at == volts.end() || zero == volts.end() || !at->second || !zero->second) return std::nullopt;
    return *at->second - *zero->second;
}

/// One place of the scale with its terminals; a node's name is empty where the place has no such terminal.
struct Row {
    std::string place;
    std::array<std::string, scale::wire_count> nodes;
};

std::vector<Row> rows_of_bus(const BusNames& names) {
    const auto at = [&names](HomeWire wire) { return names.indicator(wire); };
    const std::string& n = names.number();
    std::vector<Row> rows;
    rows.push_back({n.empty() ? "indicator" : "converter " + n,
                    {at(HomeWire::excitation_plus), at(HomeWire::excitation_minus), at(HomeWire::signal_plus),
                     at(HomeWire::signal_minus), at(HomeWire::shield)}});
    rows.push_back({"  its sense", {at(HomeWire::sense_plus), at(HomeWire::sense_minus), "", "", ""}});
    Row box{n.empty() ? "box, bars" : "channel " + n, {}};
    for (unsigned w = 0; w < box.nodes.size(); ++w) box.nodes[w] = names.box(wires[w]);
    rows.push_back(box);
    return rows;
}

void print_rows(std::ostream& out, const CircuitPage& page, const std::vector<Row>& rows,
                const Style& style) {
    const Volts volts = volts_of(page);
    Table table;
    table.column("place");
    for (const Wire wire : wires) table.column(scale::name_of(wire), Align::right);
    table.column("S+ S- mV", Align::right);
    for (const Row& row : rows) {
        std::vector<Cell> cells{{row.place}};
        for (const std::string& node : row.nodes) {
            const auto volt = against_reference(page, volts, node);
            cells.push_back({volt           ? fmt::format("{:.5f}", std::round(*volt * 1.0e5) / 1.0e5 + 0.0)
                             : node.empty() ? ""
                                            : "free"});
        }
        const auto plus = against_reference(page, volts, row.nodes[2]);
        const auto minus = against_reference(page, volts, row.nodes[3]);
        cells.push_back({plus && minus ? fmt::format("{:.4f}", 1.0e3 * (*plus - *minus)) : "", Tone::strong});
        table.row(std::move(cells));
    }
    table.print(out, style);
}

}  // namespace

std::string reference_of(const CircuitPage& page, const std::string& node) {
    if (!page.reference.empty()) return page.reference;
    if (!per_cell(page)) return BusNames(-1).box(Wire::excitation_minus);
    std::size_t end = 0;
    while (end < node.size() && (node[end] < '0' || node[end] > '9')) ++end;
    const int number = std::atoi(node.c_str() + end);
    const bool cell = node.starts_with("cell");
    for (int p = 0; p < page.circuit.condition.cell_count; ++p)
        if ((cell ? cell_of(page, p) : p) + 1 == number) return BusNames(p).box(Wire::excitation_minus);
    return netlist::reference_node;
}

std::string netlist_text(const CircuitPage& page) {
    netlist::SpiceNotes notes;
    notes.title = page.scale.name + ", its circuit as cornerbench computes it";
    notes.remarks = remarks(page);
    notes.shown = shown_by_a_run(page);
    if (!per_cell(page)) notes.currents.push_back(BusNames(-1).supply(Wire::excitation_plus));
    for (int p = 0; per_cell(page) && p < page.circuit.condition.cell_count; ++p)
        notes.currents.push_back(BusNames(p).supply(Wire::excitation_plus));
    return netlist::spice_text(page.circuit.drawing, page.circuit.sound, notes);
}

void print_probe(std::ostream& out, const CircuitPage& page, const Style& style) {
    const scale::Condition& c = page.circuit.condition;
    out << style(Tone::strong, page.scale.name) << ": volts at its terminals, " << page.load << '\n';
    for (const std::string& fault : page.faults) out << "  with " << fault << '\n';
    out << '\n';
    std::vector<Row> rows;
    if (!per_cell(page)) rows = rows_of_bus(BusNames(-1));
    for (int p = 0; p < c.cell_count; ++p) {
        const int cell = cell_of(page, p);
        if (per_cell(page))
            for (Row& row : rows_of_bus(BusNames(p))) rows.push_back(std::move(row));
        const std::string number = std::to_string(cell + 1);
        Row screws{"screws " + std::to_string(p + 1), {}};
        Row ends{"  wires of " + number, {}};
        Row inside{"  in cell " + number, {}};
        for (unsigned w = 0; w < wires.size(); ++w) {
            screws.nodes[w] = netlist::terminal_node(p, wires[w]);
            ends.nodes[w] = netlist::wire_end_node(cell, wires[w]);
            inside.nodes[w] = netlist::cell_node(cell, wires[w]);
        }
        rows.push_back(screws);
        rows.push_back(ends);
        rows.push_back(inside);
    }
    print_rows(out, page, rows, style);
    const std::string clipped =
        !page.reference.empty() ? fmt::format("The minus lead is clipped to {}. ", page.reference)
        : per_cell(page)        ? "The minus lead is clipped to E- of the channel. "
                                : "The minus lead is clipped to E- on the bars of the box (box_exc_minus). ";
    print_wrapped(
        out,
        clipped +
            "Screws: the bars' side of a place's screws, ahead of its trim. Wires: the end of the "
            "cell's cable in the box, by the terminal in the cell that it comes from. Free: nothing "
            "holds it, a meter shows anything. The meter draws nothing; one of 10 Mohm pulls down "
            "what only insulation holds. Ohms with the power off: cornerbench wire.",
        2);
}

Json circuit_json(const CircuitPage& page) {
    Json document = json_document();
    document["scale"] = page.scale.name;
    document["with"] = page.faults;
    document["load"] = page.load;
    document["converter_mV_per_V"] =
        page.circuit.reading.reference_missing ? Json(nullptr) : Json(1.0e3 * page.circuit.reading.ratio);
    const Volts volts = volts_of(page);
    document["nodes"] = Json::array();
    for (const netlist::NodeVolt& v : page.circuit.volts) {
        const auto volt = against_reference(page, volts, v.node);
        document["nodes"].push_back({{"node", v.node},
                                     {"volt", volt ? Json(*volt) : Json(nullptr)},
                                     {"against", reference_of(page, v.node)}});
    }
    document["netlist"] = netlist_text(page);
    return document;
}

}  // namespace cornerbench::report
