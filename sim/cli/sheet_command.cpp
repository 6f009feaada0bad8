#include <memory>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/seed_option.h"
#include "sim/cli/sheet_paths.h"
#include "sim/cli/written_file.h"
#include "sim/field/fault_draw.h"
#include "sim/field/fault_words.h"
#include "sim/field/simulated_sheet.h"
#include "sim/files/sheet_writer.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::vector<std::string> faults;
    bool hidden = false;
    std::uint64_t seed = 1;
    std::string output;
    bool force = false;
    std::string readings = "all";
    double mass = 0.0;
    bool fresh = false;
    bool zeroed_now = false;
    bool exact = false;
    bool decreasing = false;
};

/// Draws of a hidden cause are independent of the specimen's.
constexpr std::uint64_t hidden_stream = 11;

field::SheetPlan plan_or_stop(const Asked& asked, const scale::Description& d) {
    field::SheetPlan plan;
    plan.test_kg = asked.mass * scale::kilograms_in(d.unit);
    if (asked.mass != 0.0 && !(plan.test_kg >= d.division_kg && plan.test_kg <= d.max_kg)) {
        throw Stop(Exit::wrong_usage,
                   fmt::format("--mass {:g} must lie between one division and Max", asked.mass));
    }
    plan.decreasing = asked.decreasing;
    const bool all = asked.readings == "all";
    plan.excitation = all;
    plan.channels = all;
    plan.input_output = plan.insulation = plan.empty_signals = plan.loaded_signals = all;
    plan.sections = all || asked.readings == "weights";
    return plan;
}

std::vector<scale::Fault> faults_asked(const Asked& asked, const scale::Description& d) {
    std::vector<scale::Fault> faults = faults_or_stop(asked.faults, d);
    if (asked.hidden) {
        field::RandomSource random(asked.seed, hidden_stream);
        faults.push_back(field::draw_fault(d, diagnosis::default_priors(d), random));
    }
    return faults;
}

Exit simulate(const Asked& asked, Session& session) {
    if (!asked.force) spare_or_stop(asked.output);
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    const scale::Description& d = scale.description;
    field::SheetSetting setting;
    setting.history = asked.fresh ? diagnosis::History::unadjusted : diagnosis::History::calibrated;
    setting.zeroed = asked.zeroed_now ? diagnosis::Zeroed::now : diagnosis::Zeroed::before;
    setting.noisy = !asked.exact;
    if (asked.exact) setting.scatter = field::no_scatter;
    const std::vector<scale::Fault> faults = faults_asked(asked, d);
    const field::SimulatedSheet sheet =
        field::simulate_sheet(d, faults, asked.seed, plan_or_stop(asked, d), setting);
    if (sheet.error != mechanics::DeckError::none) {
        spdlog::warn("under some loads nothing holds the deck any more; those readings are left out");
    }
    const std::string text =
        files::sheet_text({path_from_sheet(asked.scale_path, asked.output), ""}, d, sheet.sheet());
    if (!asked.output.empty()) write_or_stop(asked.output, text);
    if (!session.json) {
        if (asked.output.empty()) session.out << text;
        return Exit::done;
    }
    report::Json document = report::json_document();
    document["scale"] = scale.name;
    document["seed"] = asked.seed;
    document["readings"] = sheet.readings.size();
    document["written_to"] = asked.output.empty() ? report::Json(nullptr) : report::Json(asked.output);
    document["sheet"] = text;
    document["faults"] = report::Json::array();
    for (const scale::Fault& fault : faults) document["faults"].push_back(field::fault_words(fault, d));
    report::print_json(session.out, document);
    return Exit::done;
}

}  // namespace

void add_sheet(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command =
        app.add_subcommand("sheet", "A made-up sheet of readings, with a known or a hidden cause");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    CLI::Option* with =
        command->add_option("--with", asked->faults, "A cause with its place and size; may be repeated")
            ->allow_extra_args(false);
    command->add_flag("--hidden", asked->hidden, "Draw the cause by the priors and do not tell")
        ->excludes(with);
    add_seed(*command, asked->seed, "Same seed, same sheet (default 1)");
    command->add_option("-o,--output", asked->output, "File to write instead of standard output");
    add_force(*command, asked->force);
    command->add_option("--readings", asked->readings, "all (default), weights or corners")
        ->check(CLI::IsMember({"all", "weights", "corners"}));
    command->add_option("--mass", asked->mass, "Test load in the scale's unit");
    command->add_flag("--decreasing", asked->decreasing,
                      "Each weight again, coming down from twice the load");
    command->add_flag("--new", asked->fresh, "The scale was never trimmed");
    command->add_flag("--zeroed-now", asked->zeroed_now, "The indicator was zeroed since the complaint");
    command->add_flag("--exact", asked->exact, "Every part as described, every reading exact");
    command->footer(
        "Find the cause yourself, then let 'diagnose' try; --json tells the cause.\n"
        "Example:\n"
        "  cornerbench sheet configs/scales/quarry-8.toml --hidden --seed 7 -o drill.toml");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return simulate(*asked, session); }; });
}

}  // namespace cornerbench::cli
