#include "sim/report/wiring_report.h"

#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/field/cause_catalogue.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using commissioning::Expected;
using commissioning::WiredCell;
using scale::Wire;

namespace {

std::string pair_name(const commissioning::WirePair& pair) {
    return std::string(scale::name_of(pair.a)) + " " + scale::name_of(pair.b);
}

std::string millivolts(const Expected& volt) {
    return fmt::format("{:.2f}", 1000.0 * volt.value);
}

std::string millivolt_range(const Expected& volt) {
    return fmt::format("{:.2f} to {:.2f}", 1000.0 * volt.low, 1000.0 * volt.high);
}

/// "green", or "E+" where the file is silent.
std::string colour(const files::ScaleFile& scale, int cell, Wire wire) {
    const std::string& name =
        scale.colours[static_cast<unsigned>(cell)][static_cast<unsigned>(scale::index_of(wire))];
    return name.empty() ? "-" : name;
}

bool has_colours(const files::ScaleFile& scale) {
    for (int i = 0; i < scale.description.cell_count(); ++i)
        for (const std::string& name : scale.colours[static_cast<unsigned>(i)])
            if (!name.empty()) return true;
    return false;
}

std::string place_words(const scale::Description& d, int cell) {
    return fmt::format("section {}, {}", scale::section_of(cell, d.deck.sections) + 1,
                       scale::is_far(cell, d.deck.sections) ? "far" : "near");
}

void print_landing(std::ostream& out, const WiringPage& page, const Style& style) {
    const scale::Description& d = page.scale.description;
    Table table;
    table.column("terminals", Align::right).column("cell").column("cable m", Align::right);
    for (const Wire wire :
         {Wire::excitation_plus, Wire::excitation_minus, Wire::signal_plus, Wire::signal_minus, Wire::shield})
        table.column(scale::name_of(wire));
    for (const WiredCell& cell : page.wiring.cells) {
        std::vector<Cell> row{
            {std::to_string(cell.cell + 1)}, {place_words(d, cell.cell)}, {figures(cell.cable_m)}};
        for (int w = 0; w < scale::wire_count; ++w)
            row.push_back({colour(page.scale, cell.cell, static_cast<Wire>(w))});
        table.row(std::move(row));
    }
    table.print(out, style);
    print_wrapped(
        out,
        std::string("Numbered clockwise from the far left, seen from the operator's side; the cable of "
                    "cell n lands on terminals n. ") +
            (has_colours(page.scale)
                 ? "Colours are those of the scale's file; a dash: it does not say."
                 : "The file gives no colours ([cell] colours): take them from the cells' papers, makers "
                   "disagree."),
        2);
}

void print_expected(std::ostream& out, const WiringPage& page, const Style& style) {
    Table table;
    table.column("cell", Align::right);
    for (const commissioning::WirePair& pair : page.wiring.cells.front().pairs)
        table.column(pair_name(pair), Align::right);
    table.column("mV empty", Align::right).column("of it fair", Align::right);
    for (const WiredCell& cell : page.wiring.cells) {
        std::vector<Cell> row{{std::to_string(cell.cell + 1)}};
        for (const commissioning::WirePair& pair : cell.pairs)
            row.push_back({fmt::format("{:.1f}", pair.ohm.value)});
        row.push_back({millivolts(cell.signal_V), Tone::strong});
        row.push_back({millivolt_range(cell.signal_V)});
        table.row(std::move(row));
    }
    table.print(out, style);
    const auto& pairs = page.wiring.cells.front().pairs;
    const scale::Description& d = page.scale.description;
    print_wrapped(
        out,
        fmt::format(
            "Ohms between lifted wires: E+ E- within {:.1f}, S+ S- within {:.1f}, the others within {:.1f}; "
            "S+ to the shield {} Mohm or more. Millivolts S+ to S- of the lifted cell on {:g} V, deck "
            "on and empty: they follow from the deck's weight. 'Fair' takes the cell's zero and the deck's "
            "weight with it.",
            pairs[0].ohm.high - pairs[0].ohm.value, pairs[1].ohm.high - pairs[1].ohm.value,
            pairs[2].ohm.high - pairs[2].ohm.value,
            figures(page.wiring.cells.front().least_insulation_ohm * 1.0e-6, 2), d.excitation_V),
        2);
    print_wrapped(
        out,
        fmt::format(
            "All landed, home run off: {:.1f} ohm E+ to E-.{}", page.wiring.bus_ohm,
            d.converter == scale::Converter::summed
                ? fmt::format(" All connected, deck empty: {} mV S+ to S- in the box (fair: {}).",
                              millivolts(page.wiring.bus_signal_V),
                              millivolt_range(page.wiring.bus_signal_V)) +
                      fmt::format(" Excitation then: {:.3f} V at the indicator, {:.3f} V in the box.",
                                  page.wiring.excitation_at_indicator_V, page.wiring.excitation_in_box_V)
                : ""),
        2);
}

std::string with_sign(double value) {
    return (value > 0.0 ? "+" : "") + figures(value, 2);
}

void print_cables(std::ostream& out, const WiringPage& page, const Style& style) {
    const commissioning::CableCost& cost = page.wiring.cable;
    const scale::Description& d = page.scale.description;
    const MassWords mass(d);
    const double unit_kg = scale::kilograms_in(d.unit);
    print_wrapped(
        out, fmt::format("Never cut or lengthen a cell's cable: each metre cut off raises its corner by {} "
                         "{} of {} ({} d), "
                         "each metre put in lowers it as much. Coil what is left over.",
                         figures(cost.error_kg_per_m / unit_kg), mass.unit(), mass.with_unit(cost.test_kg),
                         figures(cost.error_kg_per_m / d.division_kg, 2)));
    if (cost.unequal.empty()) return;
    out << style(Tone::caution, "Unequal cables") << '\n';
    Table table;
    table.column("cell", Align::right)
        .column("cable m", Align::right)
        .column("if cut or lengthened " + mass.unit(), Align::right)
        .column("if so delivered, by 10 K " + mass.unit(), Align::right);
    for (const commissioning::UnequalCable& cable : cost.unequal)
        table.row({{std::to_string(cable.cell + 1)},
                   {figures(cable.length_m)},
                   {with_sign(cable.changed_error_kg / unit_kg), Tone::strong},
                   {with_sign(cable.warm_error_kg / unit_kg)}});
    table.print(out, style);
    print_wrapped(out,
                  fmt::format("The others have {} m. What such a corner shows too much (+) or too little (-) "
                              "of {}: if its cable was cut or lengthened to fit, or else, rated with its "
                              "cable as delivered, for every 10 K that all of them warm.",
                              figures(cost.usual_m), mass.with_unit(cost.test_kg)),
                  2);
}

Json json_of(const Expected& expected, double per_unit) {
    return {{"value", expected.value / per_unit},
            {"low", expected.low / per_unit},
            {"high", expected.high / per_unit}};
}

}  // namespace

void print_wiring(std::ostream& out, const WiringPage& page, const Style& style) {
    out << style(Tone::strong, page.scale.name) << ": " << page.wiring.cells.size()
        << " cells into the box\n\n";
    print_landing(out, page, style);
    out << "\nWhat a meter must show before the deck is closed\n";
    print_expected(out, page, style);
    out << '\n';
    print_cables(out, page, style);
    out << "\nMind\n";
    for (const field::Caution caution :
         {field::Caution::mains, field::Caution::under_deck, field::Caution::pinching,
          field::Caution::welding, field::Caution::seals})
        print_wrapped(out, field::text_of(caution), 2);
}

Json wiring_json(const WiringPage& page) {
    const scale::Description& d = page.scale.description;
    const double unit_kg = scale::kilograms_in(d.unit);
    Json document = json_document();
    document["scale"] = page.scale.name;
    document["unit"] = MassWords(d).unit();
    document["cells"] = Json::array();
    for (const WiredCell& cell : page.wiring.cells) {
        Json json{{"cell", cell.cell + 1},
                  {"place", place_words(d, cell.cell)},
                  {"cable_m", cell.cable_m},
                  {"dead_load", cell.dead_load_kg / unit_kg},
                  {"signal_mV", json_of(cell.signal_V, 1.0e-3)},
                  {"insulation_Mohm_at_least", cell.least_insulation_ohm * 1.0e-6}};
        json["ohm"] = Json::object();
        for (const commissioning::WirePair& pair : cell.pairs)
            json["ohm"][pair_name(pair)] = json_of(pair.ohm, 1.0);
        json["colours"] = Json::object();
        for (int w = 0; w < scale::wire_count; ++w) {
            const std::string& name =
                page.scale.colours[static_cast<unsigned>(cell.cell)][static_cast<unsigned>(w)];
            json["colours"][scale::name_of(static_cast<Wire>(w))] = name.empty() ? Json(nullptr) : Json(name);
        }
        document["cells"].push_back(std::move(json));
    }
    document["bus_ohm"] = page.wiring.bus_ohm;
    document["bus_signal_mV"] =
        d.converter == scale::Converter::summed ? json_of(page.wiring.bus_signal_V, 1.0e-3) : Json(nullptr);
    const commissioning::CableCost& cost = page.wiring.cable;
    Json unequal = Json::array();
    for (const commissioning::UnequalCable& cable : cost.unequal)
        unequal.push_back({{"cell", cable.cell + 1},
                           {"cable_m", cable.length_m},
                           {"error_if_changed", cable.changed_error_kg / unit_kg},
                           {"error_per_10_K", cable.warm_error_kg / unit_kg}});
    document["cables"] = {{"test_load", cost.test_kg / unit_kg},
                          {"error_per_metre_cut", cost.error_kg_per_m / unit_kg},
                          {"usual_m", cost.usual_m},
                          {"unequal", unequal}};
    return document;
}

std::string wiring_sheet(const WiringPage& page, const std::string& scale_path) {
    const scale::Description& d = page.scale.description;
    std::string out = fmt::format(
        "# Take the sign # off a value and write what the meter shows; lines that are not read go out.\n"
        "# Then: cornerbench diagnose THIS --priors configs/priors/new-scale.toml (wires alone, so what only "
        "a\n"
        "# load would show stays open), and cornerbench wire --shims THIS for the supports.\n"
        "scale = \"{}\"\nzeroed = \"now\"\nhistory = \"new\"\n",
        scale_path);
    for (const WiredCell& cell : page.wiring.cells) {
        for (const commissioning::WirePair& pair : cell.pairs)
            out += fmt::format(
                "\n[[reading]]\nwhat = \"resistance\"\ncell = {}\nbetween = [\"{}\", \"{}\"]\n"
                "# value_ohm = {:.1f}  # expected, {:.1f} to {:.1f}\n",
                cell.cell + 1, scale::name_of(pair.a), scale::name_of(pair.b), pair.ohm.value, pair.ohm.low,
                pair.ohm.high);
        out += fmt::format(
            "\n[[reading]]\nwhat = \"resistance\"\ncell = {}\nbetween = [\"S+\", \"shield\"]\n"
            "# value_Mohm = {:.4g}  # expected, {:.2g} or more\n"
            "# at_least_Mohm = 500  # in its place, with the tester's own number, where that shows >500\n",
            cell.cell + 1, cell.insulation_ohm * 1.0e-6, cell.least_insulation_ohm * 1.0e-6);
        out += fmt::format(
            "\n[[reading]]\nwhat = \"signal\"\ncell = {}\nload = \"empty\"\nconnected = false\n"
            "# value_mV = {:.2f}  # expected, {}\n",
            cell.cell + 1, 1000.0 * cell.signal_V.value, millivolt_range(cell.signal_V));
    }
    if (d.converter != scale::Converter::summed) return out;
    const auto supply = [&](const char* at, double volt) {
        out += fmt::format(
            "\n[[reading]]  # everything connected\nwhat = \"excitation\"\nat = \"{}\"\n"
            "# value_V = {:.3f}  # expected\n",
            at, volt);
    };
    supply("indicator", page.wiring.excitation_at_indicator_V);
    supply("box", page.wiring.excitation_in_box_V);
    out += fmt::format(
        "\n[[reading]]  # everything connected\nwhat = \"signal\"\ncell = 1\nload = \"empty\"\nconnected = "
        "true\n"
        "# value_mV = {:.2f}  # expected, {}\n",
        1000.0 * page.wiring.bus_signal_V.value, millivolt_range(page.wiring.bus_signal_V));
    return out;
}

}  // namespace cornerbench::report
