#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/seed_option.h"
#include "sim/cli/sheet_paths.h"
#include "sim/cli/standard_option.h"
#include "sim/cli/written_file.h"
#include "sim/commissioning/simulated_day.h"
#include "sim/commissioning/test_plan.h"
#include "sim/report/test_plan_report.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::string standard;
    std::string stage = "verification";
    std::optional<double> weights;
    std::string date;
    std::string output;
    bool force = false;
    bool simulate = false;
    bool exact = false;
    std::vector<std::string> faults;
    std::uint64_t seed = 1;
};

commissioning::PlanSetting setting_or_stop(const Asked& asked, const scale::Description& d) {
    commissioning::PlanSetting setting;
    setting.stage = asked.stage == "verification" ? files::Stage::verification : files::Stage::service;
    if (!asked.weights) return setting;
    setting.weights_kg = *asked.weights * scale::kilograms_in(d.unit);
    if (!(setting.weights_kg >= d.division_kg && setting.weights_kg <= 10.0 * d.max_kg))
        throw Stop(
            Exit::wrong_usage,
            fmt::format("--weights {:g} must lie between one division and ten times Max", *asked.weights));
    return setting;
}

std::string head_of(const Asked& asked, const files::Standard& standard) {
    return fmt::format(
        "Test sheet by {} ({}). Write the display's weight into indication, and into\n"
        "added the small weights put on until the display went up by one division; \"cornerbench keys "
        "test-sheet\"\n"
        "lists every key. Then: cornerbench survey {}",
        standard.name, standard.edition, asked.output.empty() ? "SHEET" : asked.output);
}

Exit plan(const Asked& asked, Session& session) {
    if (!asked.date.empty() && !files::is_date(asked.date))
        throw Stop(
            Exit::wrong_usage,
            "--date " + asked.date + " is no day of the calendar; valid: year first, such as 2026-11-29");
    if (!asked.force) spare_or_stop(asked.output);
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    const files::Standard standard = standard_or_stop(scale, asked.standard);
    const std::vector<scale::Fault> faults = faults_or_stop(asked.faults, scale.description);
    commissioning::PlannedTest planned =
        commissioning::plan_tests(scale, standard, setting_or_stop(asked, scale.description));
    planned.sheet.scale_path = path_from_sheet(asked.scale_path, asked.output);
    planned.sheet.standard = asked.standard;
    planned.sheet.date = asked.date;
    const bool simulated = asked.simulate || !faults.empty();
    if (asked.exact && !simulated)
        throw Stop(Exit::wrong_usage, "--exact is of a simulated day: give --simulate or --with beside it");
    if (simulated) {
        commissioning::DaySetting day = commissioning::usual_day(planned.sheet.stage);
        day.exact = asked.exact;
        if (asked.exact) day.specimen.scatter = field::no_scatter;
        planned.sheet = commissioning::simulate_day(planned.sheet, standard, faults, asked.seed, day);
    }
    const std::string text = files::test_sheet_text(planned.sheet, head_of(asked, standard), planned.limits);
    if (!asked.output.empty()) write_or_stop(asked.output, text);
    const report::TestPlanPage page{scale, standard, planned, asked.output, simulated};
    if (session.json) {
        report::Json document = report::test_plan_json(page);
        document["sheet"] = text;
        report::print_json(session.out, document);
    } else {
        report::print_test_plan(session.out, page, session.style);
    }
    return planned.weights_suffice ? Exit::done : Exit::answer_is_no;
}

}  // namespace

void add_plan(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command =
        app.add_subcommand("plan", "The day's tests by a standard, and an empty sheet to fill");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    add_standard(*command, asked->standard);
    add_stage(*command, asked->stage);
    command->add_option("--weights", asked->weights,
                        "Test weights on site, in the scale's unit (default: enough)");
    command->add_option("--date", asked->date, "Date of the tests for the sheet, such as 2026-11-29");
    command->add_option("-o,--output", asked->output, "File for the sheet");
    add_force(*command, asked->force);
    command->add_flag("--simulate", asked->simulate, "Fill the sheet as a simulated day would");
    command
        ->add_option("--with", asked->faults,
                     "Simulated day: a cause with its place and size; may be repeated")
        ->allow_extra_args(false);
    add_seed(*command, asked->seed, "Simulated day: same seed, same sheet (default 1)");
    command->add_flag("--exact", asked->exact, "Simulated day: every part as described, no noise");
    command->footer(
        "Exit code 1: the weights are fewer than the standard asks.\n"
        "Example:\n"
        "  cornerbench plan configs/scales/quarry-8.toml --weights 20000 -o tests.toml");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return plan(*asked, session); }; });
}

}  // namespace cornerbench::cli
