#include <memory>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/field/trim_or_fault.h"
#include "sim/field/trim_plan.h"
#include "sim/report/trim_json.h"
#include "sim/report/trim_report.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string sheet_path;
    std::string priors_path;
    bool in_spite_of_fault = false;
    bool keep_zero = false;
    bool even_if_fine = false;
};

Exit trim(const Asked& asked, Session& session) {
    const files::SheetFile sheet = load_sheet_or_stop(asked.sheet_path);
    const files::Priors priors = priors_or_stop(asked.priors_path, sheet.scale.description);
    const diagnosis::Sheet readings = sheet.sheet();
    const field::DiagnosedSheet diagnosed = field::diagnose_sheet(sheet.scale.description, readings, priors);

    field::TrimPlanOptions options;
    options.suspicion = field::suspect_fault(diagnosed);
    for (int w = 0; w < diagnosed.outcome.wild_count; ++w) {
        options.set_aside.push_back(diagnosed.outcome.wild[static_cast<std::size_t>(w)].reading);
    }
    options.in_spite_of_fault = asked.in_spite_of_fault;
    options.zero_before_each = !asked.keep_zero;
    options.even_if_within_uncertainty = asked.even_if_fine;
    const field::TrimPlan plan = field::make_trim_plan(sheet.scale, readings, options);
    const report::TrimPage page{sheet.scale, readings, diagnosed, plan, asked.sheet_path};
    if (session.json) {
        report::print_json(session.out, report::to_json(page));
    } else {
        report::print_trim_plan(session.out, page, session.style);
    }
    return Exit::done;
}

}  // namespace

void add_trim(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand("trim", "From corner weights to the setting of every trim");
    command->add_option("sheet", asked->sheet_path, "Sheet with weights over every corner (TOML)")
        ->required();
    command->add_option("--priors", asked->priors_path,
                        "File: how likely each cause is before any reading, as for diagnose");
    command->add_flag("--keep-zero", asked->keep_zero,
                      "The indicator is not zeroed before each corner, nor tracks its zero");
    command->add_flag("--even-if-fine", asked->even_if_fine,
                      "Settings even where the corners differ by no more than the readings' uncertainty");
    command->add_flag("--in-spite-of-fault", asked->in_spite_of_fault,
                      "Settings even where the readings point to a fault or contradict each other");
    command->footer(
        "The whole sheet is diagnosed first: a fault is named, not trimmed over.\n"
        "Example:\n  cornerbench trim configs/sheets/quarry-corners-differ.toml");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return trim(*asked, session); }; });
}

}  // namespace cornerbench::cli
