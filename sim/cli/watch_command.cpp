#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/recording_file.h"
#include "sim/cli/seed_option.h"
#include "sim/field/traffic_findings.h"
#include "sim/report/replay_report.h"
#include "sim/report/session_report.h"
#include "sim/report/traffic_report.h"
#include "sim/virtual_scale/indicator_settings.h"
#include "sim/virtual_scale/replay.h"
#include "sim/virtual_scale/session_run.h"
#include "sim/virtual_scale/traffic.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::string session_path;
    std::string recording_path;
    std::vector<std::string> faults;
    int trucks = 300;
    int sound_trucks = 150;
    int growing_trucks = 0;
    bool both_ways = false;
    std::uint64_t seed = 1;
};

/// What was watched, and what the box learnt.
struct Watched {
    std::string source;
    std::optional<std::uint64_t> seed;
    std::string no_weight;
    watch::TrafficWatch traffic;
};

std::function<void(double)> progress_on(Session& session) {
    return [&session, last = -1](double share) mutable {
        const int percent = static_cast<int>(100.0 * share);
        if (!session.err_is_terminal || percent == last) return;
        last = percent;
        session.err << fmt::format("\r{} %", percent) << std::flush;
        if (share >= 1.0) session.err << "\r\x1b[K" << std::flush;
    };
}

Watched watch_recording(const Asked& asked, const files::ScaleFile& scale) {
    RecordingSource source(asked.recording_path);
    const auto replay = std::make_unique<virtual_scale::Replay>(source);
    const virtual_scale::ReplayOutcome outcome = replay->run(virtual_scale::indicator_settings(scale));
    if (const std::string fault = report::recording_fault(outcome.state); !fault.empty())
        throw Stop(outcome.state == hal::ReplayState::unreadable ? Exit::host : Exit::impossible_file,
                   fmt::format("{}:{}: {}", asked.recording_path, outcome.line, fault));
    if (!outcome.same())
        throw Stop(
            Exit::impossible_file,
            fmt::format("{}:{}: this scale's indicator does not do what was recorded, so nothing can be "
                        "said of its traffic; valid: the scale file that it was recorded with, see "
                        "'cornerbench replay'",
                        asked.recording_path, outcome.line));
    return {"a recording of " + fmt::format("{:.1f} h", outcome.seconds / 3600.0), {}, {}, outcome.traffic};
}

Watched watch_session(const Asked& asked, const files::ScaleFile& scale, Session& session) {
    const files::SessionFile steps = load_session_or_stop(asked.session_path, scale);
    const files::Standard standard = standard_or_stop(scale);
    virtual_scale::SessionSetting setting;
    setting.seed = asked.seed;
    setting.words = report::session_words(scale.description);
    setting.faults = faults_or_stop(asked.faults, scale.description);
    setting.progress = progress_on(session);
    virtual_scale::SessionRecord record = virtual_scale::run_session(scale, standard, steps, setting);
    if (!record.traffic)
        throw Stop(Exit::impossible_file,
                   asked.session_path + ": ends without power, and what the box had learnt is gone");
    return {steps.name, asked.seed, {}, *record.traffic};
}

Watched watch_traffic(const Asked& asked, const files::ScaleFile& scale, Session& session) {
    virtual_scale::TrafficSetting setting;
    setting.seed = asked.seed;
    setting.trucks = asked.trucks;
    setting.sound_trucks = asked.sound_trucks;
    setting.growing_trucks = asked.growing_trucks;
    setting.both_ways = asked.both_ways;
    setting.faults = faults_or_stop(asked.faults, scale.description);
    setting.progress = progress_on(session);
    virtual_scale::TrafficRecord record =
        virtual_scale::run_traffic(scale.description, virtual_scale::indicator_settings(scale), setting);
    return {fmt::format("{} trucks in {:.1f} h", record.trucks, record.hours), asked.seed, record.no_weight,
            record.traffic};
}

Exit watch(const Asked& asked, Session& session) {
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    check_filter_or_stop(scale);
    const Watched watched = !asked.recording_path.empty() ? watch_recording(asked, scale)
                            : !asked.session_path.empty() ? watch_session(asked, scale, session)
                                                          : watch_traffic(asked, scale, session);
    const std::vector<field::TrafficFinding> findings = field::traffic_findings(watched.traffic);
    const report::MassWords words(scale.description);
    const report::TrafficPage page{scale.name,      watched.source, watched.seed,
                                   watched.traffic, findings,       watched.no_weight};
    session.json ? report::print_traffic_json(session.out, page, words)
                 : report::print_traffic(session.out, page, words, session.style);
    return findings.empty() && watched.no_weight.empty() ? Exit::done : Exit::answer_is_no;
}

}  // namespace

void add_watch(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command =
        app.add_subcommand("watch", "What ordinary trucks tell of a scale, without a test weight");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    CLI::Option* trucks =
        command->add_option("--trucks", asked->trucks, "How many drive over, no two alike (default 300)")
            ->check(CLI::Range(1, 100'000));
    CLI::Option* from =
        command
            ->add_option("--from-truck", asked->sound_trucks,
                         "Sound trucks before the causes come (default 150; 0: from the first)")
            ->check(CLI::Range(0, 100'000));
    CLI::Option* grows =
        command->add_option("--grows", asked->growing_trucks, "Trucks over which the causes grow (default 0)")
            ->check(CLI::Range(0, 100'000));
    CLI::Option* both =
        command->add_flag("--both-ways", asked->both_ways, "Trucks come on at either end, in any order");
    CLI::Option* with =
        command
            ->add_option("--with", asked->faults, "A cause; may be repeated. In a session from its beginning")
            ->allow_extra_args(false);
    CLI::Option* steps = command->add_option("--session", asked->session_path,
                                             "Watches this session (TOML): see 'cornerbench keys session'");
    CLI::Option* recording = command->add_option("--replay", asked->recording_path,
                                                 "Watches this recording: see 'weigh --record'");
    // Without it the line with what it excludes stays within 80 columns.
    recording->type_name("");
    for (CLI::Option* own : {trucks, from, grows, both}) {
        own->excludes(steps);
        own->excludes(recording);
    }
    recording->excludes(steps);
    recording->excludes(with);
    add_seed(*command, asked->seed, "Of the specimen and the yard (default 1); same seed, same run");
    command->footer(
        "The box compares every truck with those before: shares of the cells, weights\n"
        "at either end, driving on with driving off, zero before with zero after. It\n"
        "learns from 12 trucks and forgets when power goes.\n"
        "Exit code 1: something has changed, or no weight is shown in the end.\n"
        "Example:\n"
        "  cornerbench watch configs/scales/harbour-8.toml \\\n"
        "      --with \"weak-output cell=3 ratio=0.98\"");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return watch(*asked, session); }; });
}

}  // namespace cornerbench::cli
