#include <memory>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "sim/cli/browser.h"
#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/standard_option.h"
#include "sim/cli/written_file.h"
#include "sim/field/trim_or_fault.h"
#include "sim/files/mass_unit.h"
#include "sim/report/record_page.h"

namespace cornerbench::cli {

namespace {

/// Fewest readings that a diagnosis is asked about.
constexpr std::size_t fewest_readings = 3;

struct Asked {
    std::string sheet_path;
    std::string standard;
    std::string units;
    std::string paper;
    std::string output;
    std::string pdf;
    bool force = false;
};

files::SheetFile readings_of(const files::TestSheet& sheet, const files::Standard& standard) {
    files::SheetFile out;
    out.path = sheet.path;
    out.scale = sheet.scale;
    commissioning::HandedReadings handed = commissioning::readings_of(sheet, standard);
    out.readings = std::move(handed.readings);
    out.zeroed = handed.zeroed;
    out.instruments = handed.instruments;
    return out;
}

/// A record is worth having without its causes.
void diagnose(report::RecordPage& page) {
    const scale::Description& d = page.sheet.scale.description;
    if (page.readings.readings.size() < fewest_readings) return;
    try {
        page.diagnosed = field::diagnose_sheet(d, page.readings.sheet(), diagnosis::default_priors(d));
    } catch (const std::runtime_error& error) {
        spdlog::warn("no diagnosis: {}", error.what());
        return;
    }
    field::TrimPlanOptions options;
    options.suspicion = field::suspect_fault(*page.diagnosed);
    page.trims = field::make_trim_plan(page.sheet.scale, page.readings.sheet(), options);
}

scale::MassUnit unit_asked(const Asked& asked, const scale::Description& d) {
    for (std::size_t i = 0; i < files::unit_names.size(); ++i)
        if (files::unit_names[i] == asked.units) return static_cast<scale::MassUnit>(i);
    return d.unit;
}

/// Where pounds are read, paper is letter.
report::Paper paper_asked(const Asked& asked, scale::MassUnit unit) {
    const bool letter = asked.paper.empty() ? unit == scale::MassUnit::pound : asked.paper == "letter";
    return letter ? report::Paper::letter : report::Paper::a4;
}

Exit write_report(const Asked& asked, Session& session) {
    spare_or_stop({asked.output, asked.pdf}, asked.force);
    if (!asked.pdf.empty() && asked.output.empty())
        throw Stop(Exit::wrong_usage, "--pdf is printed from the page: name that with -o as well");
    files::TestSheet sheet = load_test_sheet_or_stop(asked.sheet_path);
    // Words of the survey and the page speak the unit that was asked for; numbers are kilograms inside.
    sheet.scale.description.unit = unit_asked(asked, sheet.scale.description);
    const files::Standard standard =
        standard_or_stop(sheet.scale, asked.standard.empty() ? sheet.standard : asked.standard);
    const commissioning::Survey survey = commissioning::judge_sheet(sheet, standard);
    const files::SheetFile readings = readings_of(sheet, standard);
    report::RecordPage page{sheet, standard, survey, sheet.scale.description.unit, readings};
    page.paper = paper_asked(asked, sheet.scale.description.unit);
    diagnose(page);
    const std::string html = report::record_page(page);
    if (!asked.output.empty()) write_or_stop(asked.output, html);
    if (!asked.pdf.empty()) print_pdf_or_stop(asked.output, asked.pdf);
    if (session.json) {
        report::Json document = report::json_document();
        document["scale"] = sheet.scale.name;
        document["verdict"] = commissioning::word_of(survey.verdict());
        document["whole"] = survey.whole;
        document["written_to"] = asked.output.empty() ? report::Json(nullptr) : report::Json(asked.output);
        document["pdf"] = asked.pdf.empty() ? report::Json(nullptr) : report::Json(asked.pdf);
        if (asked.output.empty()) document["html"] = html;
        report::print_json(session.out, document);
    } else if (asked.output.empty()) {
        session.out << html;
    }
    return Exit::done;
}

}  // namespace

void add_report(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command =
        app.add_subcommand("report", "The record of a day of tests as a page to print or to keep");
    command->add_option("sheet", asked->sheet_path, "Test sheet (TOML), as 'plan' writes it")->required();
    add_standard(*command, asked->standard);
    command->add_option("--units", asked->units, "kg, t or lb (default: the scale's)")
        ->check(CLI::IsMember({"kg", "t", "lb"}));
    command->add_option("--paper", asked->paper, "a4 or letter (default: letter for pounds, else a4)")
        ->check(CLI::IsMember({"a4", "letter"}));
    command->add_option("-o,--output", asked->output, "File for the page instead of standard output");
    command->add_option("--pdf", asked->pdf, "File for the same as PDF, where a browser is at hand");
    add_force(*command, asked->force);
    command->footer(
        "Exit code 4: there is no browser for --pdf; the page is written all the same.\n"
        "Example:\n"
        "  cornerbench report configs/tests/quarry-verification.toml -o record.html");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return write_report(*asked, session); }; });
}

}  // namespace cornerbench::cli
