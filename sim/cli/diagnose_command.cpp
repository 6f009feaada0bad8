#include <memory>

#include "sim/cli/commands.h"
#include "sim/cli/diagnosis_dialogue.h"
#include "sim/cli/loading.h"
#include "sim/report/diagnosis_report.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string sheet_path;
    std::string priors_path;
    std::string minutes_path;
    bool interactive = false;
};

Exit diagnose(const Asked& asked, Session& session) {
    if (asked.interactive) {
        if (session.json)
            throw Stop(Exit::wrong_usage, "--interactive talks with a person: it has no --json document");
        return hold_diagnosis_dialogue(asked.sheet_path, asked.priors_path, asked.minutes_path, session);
    }
    const files::SheetFile sheet = load_sheet_or_stop(asked.sheet_path);
    const files::Priors priors = priors_or_stop(asked.priors_path, sheet.scale.description);
    const field::CheckMinutes minutes = minutes_or_stop(asked.minutes_path);
    report::print_diagnosis(session.out, sheet, priors, minutes, session.json, session.style);
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
    command->add_option("--minutes", asked->minutes_path,
                        "File (TOML) that says how long checks take here: see 'cornerbench keys minutes'");
    command->add_flag("--interactive", asked->interactive,
                      "Ask for the readings that tell most, one by one, and write each into the sheet");
    command->footer(
        "Example:\n"
        "  cornerbench diagnose configs/sheets/quarry-west-end-light.toml\n"
        "With a sheet of your own that holds what you know so far:\n"
        "  cornerbench diagnose --interactive my-sheet.toml");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return diagnose(*asked, session); }; });
}

}  // namespace cornerbench::cli
