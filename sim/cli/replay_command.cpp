#include <memory>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "firmware/indicator/settings_block.h"
#include "hal/golden/golden_run.h"
#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/recording_file.h"
#include "sim/cli/written_file.h"
#include "sim/report/replay_report.h"
#include "sim/virtual_scale/indicator_settings.h"
#include "sim/virtual_scale/replay.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string path;
    std::string scale_path;
    std::string trace_path;
    bool force = false;
    std::optional<std::uint64_t> every;
};

class StringSink final : public hal::TextSink {
  public:
    hal::Answer write(std::string_view text) override {
        text_ += text;
        return hal::Answer::done;
    }
    const std::string& text() const { return text_; }

  private:
    std::string text_;
};

/// Runs the recording once more, as a board without notes would, and writes down what came of it.
void write_trace_or_stop(const Asked& asked, const IndicatorSettings& settings) {
    RecordingSource source(asked.path);
    StringSink trace;
    const SettingsBlock block = encode(settings);
    golden::TraceWish wish;
    wish.every = asked.every.value_or(wish.every);
    (void)golden::run_replay({source, trace, block}, wish);
    write_or_stop(asked.trace_path, trace.text());
}

/// The scale whose indicator it is, with its rules.
struct Recorded {
    files::ScaleFile scale;
    files::Standard standard;
};

Recorded recorded_or_stop(const Asked& asked, const std::map<std::string, std::string>& notes) {
    Recorded recorded;
    if (!asked.scale_path.empty()) {
        recorded.scale = load_scale_or_stop(asked.scale_path);
        recorded.standard = standard_or_stop(recorded.scale);
        return recorded;
    }
    const auto scale = notes.find("scale");
    if (scale == notes.end())
        throw Stop(Exit::impossible_file,
                   asked.path +
                       ": carries no scale file, so nobody knows the indicator's settings; valid: "
                       "--scale with the file of the scale that it was recorded at");
    recorded.scale = parse_scale_or_stop(scale->second, asked.path + ", its scale file");
    const auto standard = notes.find("standard");
    recorded.standard = standard == notes.end()
                            ? standard_or_stop(recorded.scale)
                            : parse_standard_or_stop(standard->second, asked.path + ", its standard");
    return recorded;
}

Exit replay(const Asked& asked, Session& session) {
    if (!asked.force) spare_or_stop(asked.trace_path);
    if (asked.every && asked.trace_path.empty())
        throw Stop(Exit::wrong_usage, "--every is of the lines of a trace: it needs --trace FILE");
    RecordingSource source(asked.path);
    const auto replay = std::make_unique<virtual_scale::Replay>(source);
    std::string name = "nothing";
    IndicatorSettings settings;
    if (replay->runs()) {
        const Recorded recorded = recorded_or_stop(asked, replay->notes());
        name = recorded.scale.name;
        settings = virtual_scale::indicator_settings(recorded.scale.description,
                                                     recorded.standard.rules(recorded.scale.accuracy_class));
    }
    const virtual_scale::ReplayOutcome outcome = replay->run(settings);
    if (const std::string fault = report::recording_fault(outcome.state); !fault.empty()) {
        const bool begun = outcome.steps > 0;
        throw Stop(outcome.state == hal::ReplayState::unreadable ? Exit::host : Exit::impossible_file,
                   fmt::format("{}:{}: {}{}", asked.path, outcome.line, fault,
                               begun ? fmt::format("; without a difference until then, {:.3f} s and {} steps "
                                                   "after its beginning",
                                                   outcome.seconds, outcome.steps)
                                     : ""));
    }
    if (!asked.trace_path.empty()) write_trace_or_stop(asked, settings);
    const report::ReplayPage page{asked.path, name, replay->notes(), outcome};
    session.json ? report::print_replay_json(session.out, page)
                 : report::print_replay(session.out, page, session.style);
    return outcome.same() ? Exit::done : Exit::answer_is_no;
}

}  // namespace

void add_replay(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command =
        app.add_subcommand("replay", "A recording fed to the firmware again, to the first difference");
    command->add_option("recording", asked->path, "Recording: see 'weigh --record' and 'live --record'")
        ->required();
    command->add_option("--scale", asked->scale_path,
                        "Scale file (TOML) in place of the recording's own: for one that has none, "
                        "or to see what a change does");
    command->add_option("--trace", asked->trace_path,
                        "Writes what the firmware did to this file, for other machines to be held to");
    command->add_option("--every", asked->every, "Steps from one line of the trace to the next (default 100)")
        ->check(CLI::Range(std::uint64_t{1}, std::uint64_t{1000000000}));
    add_force(*command, asked->force);
    command->footer(
        "Exit code 1: the firmware does something else than was recorded. 3: the\n"
        "recording is damaged or cut; the message says in which line.\n"
        "Example:\n"
        "  cornerbench replay morning.recording");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return replay(*asked, session); }; });
}

}  // namespace cornerbench::cli
