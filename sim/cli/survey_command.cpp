#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/sheet_paths.h"
#include "sim/cli/standard_option.h"
#include "sim/cli/written_file.h"
#include "sim/commissioning/survey.h"
#include "sim/files/sheet_writer.h"
#include "sim/report/simulated_words.h"
#include "sim/report/survey_report.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string sheet_path;
    std::string standard;
    std::string readings;
    bool force = false;
};

Exit survey(const Asked& asked, Session& session) {
    if (!asked.force) spare_or_stop(asked.readings);
    const files::TestSheet sheet = load_test_sheet_or_stop(asked.sheet_path);
    const files::Standard standard =
        standard_or_stop(sheet.scale, asked.standard.empty() ? sheet.standard : asked.standard);
    const commissioning::Survey result = commissioning::judge_sheet(sheet, standard);
    if (!asked.readings.empty()) {
        const commissioning::HandedReadings handed = commissioning::readings_of(sheet, standard);
        std::string comment =
            "Readings of the test sheet " + asked.sheet_path + (sheet.date.empty() ? "" : ", " + sheet.date);
        if (sheet.simulated) comment += "\n" + std::string(report::simulated_words);
        write_or_stop(asked.readings,
                      files::sheet_text({path_from_sheet(sheet.scale.path, asked.readings), comment},
                                        sheet.scale.description, handed.sheet()));
    }
    const report::SurveyPage page{sheet, standard, result, asked.readings};
    if (session.json) {
        report::print_json(session.out, report::survey_json(page));
    } else {
        report::print_survey(session.out, page, session.style);
    }
    const bool passes = result.verdict() == commissioning::Verdict::passes && result.whole;
    return passes ? Exit::done : Exit::answer_is_no;
}

}  // namespace

void add_survey(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand("survey", "A filled test sheet judged, clause by clause");
    command->add_option("sheet", asked->sheet_path, "Test sheet (TOML), as 'plan' writes it")->required();
    add_standard(*command, asked->standard);
    command->add_option("--readings", asked->readings,
                        "File for the readings as 'diagnose' and 'trim' take them");
    add_force(*command, asked->force);
    command->footer(
        "Exit code 1: a clause fails, is uncertain or was not tested, or a test that\n"
        "the standard asks, or part of its weights, is missing.\n"
        "Example:\n"
        "  cornerbench survey configs/tests/quarry-verification.toml");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return survey(*asked, session); }; });
}

}  // namespace cornerbench::cli
