#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/load_option.h"
#include "sim/cli/loading.h"
#include "sim/cli/written_file.h"
#include "sim/field/fault_words.h"
#include "sim/files/nearest_word.h"
#include "sim/report/corner_test_report.h"
#include "sim/report/netlist_report.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::vector<std::string> faults;
    std::vector<std::string> loads;
    std::string output;
    std::string reference;
    bool probe = false;
    bool force = false;
};

void check_reference_or_stop(const std::string& reference, const netlist::ScaleCircuit& circuit) {
    if (reference.empty() || reference == netlist::reference_node) return;
    std::vector<std::string_view> known;
    for (const netlist::NodeVolt& v : circuit.volts) {
        if (v.node == reference && v.volt) return;
        if (v.node == reference)
            throw Stop(Exit::wrong_usage,
                       fmt::format("--reference {}: that node hangs free, nothing can be measured against it",
                                   reference));
        known.push_back(v.node);
    }
    const std::string_view near = files::nearest_word(reference, known);
    throw Stop(Exit::wrong_usage,
               fmt::format("--reference {}: there is no such node; {}", reference,
                           near.empty() ? std::string("valid: a name that the netlist has, such as "
                                                      "indicator_exc_minus, or 0")
                                        : fmt::format("nearest: {}", near)));
}

Exit draw(const Asked& asked, Session& session) {
    if (!asked.force) spare_or_stop(asked.output);
    if (!asked.reference.empty() && !asked.probe && !session.json)
        throw Stop(Exit::wrong_usage,
                   "--reference is where a meter's minus lead goes: it needs --probe or --json");
    if (asked.probe && !asked.output.empty())
        throw Stop(Exit::wrong_usage, "--probe is printed, and -o is for the netlist: one of them at a time");
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    const std::vector<scale::Fault> faults = faults_or_stop(asked.faults, scale.description);
    const files::PlacedLoad load = load_or_stop(asked.loads, scale);
    const netlist::ScaleCircuit circuit = netlist::circuit_of(scale.description, faults, load.load);
    if (circuit.deck.error != mechanics::DeckError::none)
        throw Stop(Exit::answer_is_no, fmt::format("with {} on the deck it does not stand: {}", load.text,
                                                   report::deck_error_words(circuit.deck.error)));
    check_reference_or_stop(asked.reference, circuit);
    report::CircuitPage page{scale, circuit, {}, load.text, asked.reference};
    for (const scale::Fault& fault : faults)
        page.faults.push_back(field::fault_words(fault, scale.description));
    if (!asked.output.empty()) write_or_stop(asked.output, report::netlist_text(page));
    if (session.json) {
        report::print_json(session.out, report::circuit_json(page));
    } else if (asked.probe) {
        report::print_probe(session.out, page, session.style);
    } else if (asked.output.empty()) {
        session.out << report::netlist_text(page);
    }
    return Exit::done;
}

}  // namespace

void add_netlist(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command =
        app.add_subcommand("netlist", "The scale's circuit for a simulator, or its volts for a meter");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    command->add_option("--with", asked->faults, "A cause with its place and size; may be repeated")
        ->allow_extra_args(false);
    add_load(*command, asked->loads);
    command->add_option("-o,--output", asked->output, "File for the netlist (default: standard output)");
    command->add_flag("--probe", asked->probe,
                      "In place of the netlist, what a meter must show at every terminal");
    command->add_option("--reference", asked->reference,
                        "Node to which the meter's minus lead is clipped (default: E- in the box)");
    add_force(*command, asked->force);
    command->footer(
        "The netlist is plain SPICE; 'ngspice -b FILE' solves it and prints what matters.\n"
        "What a cause changed, took away or added stands in its comments.\n"
        "Example:\n"
        "  cornerbench netlist configs/scales/quarry-8.toml --load \"mass=10000 over=3\" \\\n"
        "      --with \"loose-terminal cell=5 wire=S+ ohm=38\" -o quarry.cir");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return draw(*asked, session); }; });
}

}  // namespace cornerbench::cli
