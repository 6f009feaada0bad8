#include <memory>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/report/diagnosis_report.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string sheet_path;
    std::string priors_path;
};

Exit diagnose(const Asked& asked, Session& session) {
    const files::SheetFile sheet = load_sheet_or_stop(asked.sheet_path);
    const files::Priors priors = priors_or_stop(asked.priors_path, sheet.scale.description);
    report::print_diagnosis(session.out, sheet, priors, session.json, session.style);
    return Exit::done;
}

}  // namespace

void add_diagnose(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand("diagnose", "From a sheet of readings to the causes behind them");
    command->add_option("sheet", asked->sheet_path, "Sheet of readings (TOML)")->required();
    command->add_option(
        "--priors", asked->priors_path,
        "File (TOML) that says how likely each cause is before any reading: see 'cornerbench keys priors'");
    command->footer("Example:\n  cornerbench diagnose configs/sheets/quarry-west-end-light.toml");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return diagnose(*asked, session); }; });
}

}  // namespace cornerbench::cli
