#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/sheet_paths.h"
#include "sim/cli/written_file.h"
#include "sim/report/wiring_report.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::string output;
    std::string svg;
    std::string shims;
    bool force = false;
};

Exit shims(const Asked& asked, Session& session) {
    const files::SheetFile sheet = load_sheet_or_stop(asked.shims);
    int missing = 0;
    const auto plan = commissioning::plan_shims(sheet, missing);
    if (!plan)
        throw Stop(
            Exit::impossible_file,
            fmt::format("{}: no signal of cell {} with the deck empty; shims need that of every cell, lifted "
                        "(or its channel)",
                        asked.shims, missing));
    if (session.json) {
        report::print_json(session.out, report::shims_json(sheet.scale, *plan));
    } else {
        report::print_shims(session.out, sheet.scale, *plan, session.style);
    }
    return Exit::done;
}

Exit wire(const Asked& asked, Session& session) {
    if (asked.scale_path.empty() == asked.shims.empty())
        throw Stop(Exit::wrong_usage, "give a scale's file, or --shims with a filled sheet");
    if (!asked.shims.empty()) return shims(asked, session);
    spare_or_stop({asked.output, asked.svg}, asked.force);
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    const commissioning::Wiring wiring = commissioning::plan_wiring(scale);
    const report::WiringPage page{scale, wiring};
    if (!asked.output.empty())
        write_or_stop(asked.output,
                      report::wiring_sheet(page, path_from_sheet(asked.scale_path, asked.output)));
    if (!asked.svg.empty()) write_or_stop(asked.svg, report::wiring_drawing(page));
    if (session.json) {
        report::print_json(session.out, report::wiring_json(page));
    } else {
        report::print_wiring(session.out, page, session.style);
    }
    return Exit::done;
}

}  // namespace

void add_wire(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command =
        app.add_subcommand("wire", "The wiring sheet of the box, and shims from the cells' signals");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)");
    auto* output =
        command->add_option("-o,--output", asked->output, "File for a sheet to fill, as 'diagnose' takes it");
    auto* svg = command->add_option("--svg", asked->svg, "File for the drawing of deck, numbers and box");
    command
        ->add_option("--shims", asked->shims,
                     "A filled sheet instead of a scale: what each support carries, and its shims")
        ->excludes(output)
        ->excludes(svg);
    add_force(*command, asked->force);
    command->footer(
        "Example:\n"
        "  cornerbench wire configs/scales/quarry-8.toml --svg wiring.svg");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return wire(*asked, session); }; });
}

}  // namespace cornerbench::cli
