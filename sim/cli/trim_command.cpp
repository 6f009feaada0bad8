#include <memory>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/field/trim_or_fault.h"
#include "sim/field/trim_plan.h"
#include "sim/report/finding_words.h"
#include "sim/report/json_document.h"
#include "sim/report/trim_json.h"
#include "sim/report/trim_report.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string sheet_path;
    bool in_spite_of_fault = false;
    bool keep_zero = false;
    bool even_if_fine = false;
};

Exit trim(const Asked& asked, Session& session) {
    const files::SheetFile sheet = load_sheet_or_stop(asked.sheet_path);
    const scale::Description& d = sheet.scale.description;
    const field::DiagnosedSheet diagnosed =
        field::rank_causes(d, sheet.sheet(), diagnosis::default_priors(d));
    const field::FaultSuspicion suspicion = field::suspect_fault(diagnosed);

    field::TrimPlanOptions options;
    options.zero_before_each = !asked.keep_zero;
    options.even_if_within_uncertainty = asked.even_if_fine;
    if (!asked.in_spite_of_fault) options.fault_probability = suspicion.probability;
    if (suspicion.likeliest >= 0) {
        const auto at = static_cast<std::size_t>(suspicion.likeliest);
        options.likeliest_fault = report::cause_words(diagnosed.candidates[at].fault);
    }
    const field::TrimPlan plan = field::make_trim_plan(sheet.scale, sheet.sheet(), options);
    if (session.json) {
        report::print_json(session.out, report::to_json(plan));
    } else {
        report::print_trim_plan(session.out, plan, sheet.scale, session.style);
    }
    return Exit::done;
}

}  // namespace

void add_trim(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand("trim", "From corner weights to the setting of every trim");
    command->add_option("sheet", asked->sheet_path, "Sheet with weights over every corner (TOML)")
        ->required();
    command->add_flag("--keep-zero", asked->keep_zero,
                      "The indicator is not zeroed before each corner, nor tracks its zero");
    command->add_flag("--even-if-fine", asked->even_if_fine,
                      "Settings even where the corners differ by no more than the readings' uncertainty");
    command->add_flag("--in-spite-of-fault", asked->in_spite_of_fault,
                      "Settings even where the readings point to a fault");
    command->footer("Example:\n  cornerbench trim configs/sheets/quarry-corners-differ.toml");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return trim(*asked, session); }; });
}

}  // namespace cornerbench::cli
