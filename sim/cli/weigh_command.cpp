#include <memory>
#include <optional>
#include <sstream>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/recording_file.h"
#include "sim/cli/recording_notes.h"
#include "sim/cli/seed_option.h"
#include "sim/cli/written_file.h"
#include "sim/field/corner_test.h"
#include "sim/field/fault_words.h"
#include "sim/report/session_report.h"
#include "sim/report/session_trace.h"
#include "sim/virtual_scale/indicator_settings.h"
#include "sim/virtual_scale/session_run.h"
#include "sim/virtual_scale/usual_session.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::string session_path;
    std::vector<std::string> faults;
    std::uint64_t seed = 1;
    std::string csv_path;
    std::string svg_path;
    std::string recording_path;
    bool force = false;
};

files::SessionFile session_or_stop(const Asked& asked, const files::ScaleFile& scale,
                                   const files::Standard& standard) {
    if (asked.session_path.empty())
        return virtual_scale::usual_session(scale, field::standard_test_kg(standard, scale.description));
    files::SessionFile session = load_session_or_stop(asked.session_path, scale);
    for (const files::Step& step : session.steps) {
        if (step.deed != files::Deed::cause) continue;
        const field::ReadFault read = field::read_fault(step.cause_words, scale.description);
        if (!read.fault || read.fault->cause == scale::Cause::unlisted)
            throw Stop(
                Exit::impossible_file,
                fmt::format("{}:{}: with = \"{}\": {}", asked.session_path, step.line, step.cause_words,
                            read.fault ? "what is on no list cannot be computed" : read.error));
    }
    return session;
}

/// Nothing is written for an empty path.
template <class Print>
void print_to_file_or_stop(const std::string& path, const Print& print) {
    if (path.empty()) return;
    std::ostringstream text;
    print(text);
    write_or_stop(path, text.str());
}

Exit weigh(const Asked& asked, Session& session) {
    spare_or_stop({asked.csv_path, asked.svg_path, asked.recording_path}, asked.force);
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    const files::Standard standard = standard_or_stop(scale);
    check_filter_or_stop(scale);
    const files::SessionFile steps = session_or_stop(asked, scale, standard);
    virtual_scale::SessionSetting setting;
    setting.seed = asked.seed;
    setting.words = report::session_words(scale.description);
    setting.faults = faults_or_stop(asked.faults, scale.description);
    setting.progress = [&session](double share) {
        if (!session.err_is_terminal) return;
        session.err << fmt::format("\r{:.0f} %", 100.0 * share) << std::flush;
        if (share >= 1.0) session.err << "\r\x1b[K" << std::flush;
    };
    std::optional<RecordingSink> recording;
    if (!asked.recording_path.empty()) {
        setting.recording = &recording.emplace(asked.recording_path);
        setting.notes = recording_notes_or_stop(fmt::format("{}, seed {}", steps.name, asked.seed),
                                                asked.scale_path, standard);
    }
    const virtual_scale::SessionRecord record = virtual_scale::run_session(scale, standard, steps, setting);
    if (recording) recording->close_or_stop();
    const report::MassWords words(scale.description);
    print_to_file_or_stop(asked.csv_path,
                          [&](std::ostream& out) { report::print_session_csv(out, record, words); });
    print_to_file_or_stop(asked.svg_path,
                          [&](std::ostream& out) { report::print_session_svg(out, record, words); });
    session.json ? report::print_session_json(session.out, record, words)
                 : report::print_session(session.out, record, words, session.style);
    return record.well ? Exit::done : Exit::answer_is_no;
}

}  // namespace

void add_weigh(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command =
        app.add_subcommand("weigh", "A session at the scale with its firmware at work, trucks to power cuts");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    command->add_option(
        "--session", asked->session_path,
        "Session file (TOML): see 'cornerbench keys session' (default: a truck and a round of "
        "corners)");
    command->add_option("--with", asked->faults, "A cause that holds from the beginning; may be repeated")
        ->allow_extra_args(false);
    add_seed(*command, asked->seed, "Of the specimen and the yard (default 1); same seed, same run");
    command->add_option("--csv", asked->csv_path, "Writes the trace to this file, ten lines a second");
    command->add_option("--svg", asked->svg_path, "Draws the trace into this file");
    command->add_option(
        "--record", asked->recording_path,
        "Writes every call between firmware and board to this file, for 'cornerbench replay'");
    add_force(*command, asked->force);
    command->footer(
        "Columns of --csv: t_s; on_deck_UNIT, the true mass; shown_UNIT, the gross weight\n"
        "rounded to the division, in the scale file's unit whatever tare or unit the\n"
        "panel shows, empty without a weight; no_weight, why there is none; stable;\n"
        "degraded (a cell is lost, not for trade), both 0 or 1; over_capacity, numbers of\n"
        "the cells that truly carry more than their own capacity.\n"
        "Exit code 1: a step could not be done, or a ticket lies outside the limits.\n"
        "Example:\n"
        "  cornerbench weigh configs/scales/quarry-8.toml \\\n"
        "      --session configs/sessions/quarry-morning.toml --svg morning.svg");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return weigh(*asked, session); }; });
}

}  // namespace cornerbench::cli
