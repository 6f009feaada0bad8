#include <chrono>
#include <memory>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/seed_option.h"
#include "sim/report/trial_report.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::string priors_path;
    int sheets = 100;
    std::uint64_t seed = 1;
    std::string readings = "all";
    bool healthy = false;
};

constexpr int most_sheets = 1000000;

field::TrialSetting setting_of(const Asked& asked) {
    field::TrialSetting setting;
    setting.sheets = asked.sheets;
    setting.first_seed = asked.seed;
    setting.healthy = asked.healthy;
    if (asked.readings == "weights") {
        field::SheetPlan& plan = setting.plan;
        plan.excitation = plan.channels = plan.input_output = plan.insulation = false;
        plan.empty_signals = plan.loaded_signals = false;
    }
    return setting;
}

Exit measure(const Asked& asked, Session& session) {
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    const files::Priors priors = priors_or_stop(asked.priors_path, scale.description);
    const field::TrialSetting setting = setting_of(asked);
    const auto start = std::chrono::steady_clock::now();
    const auto progress = [&](int done) {
        if (!session.err_is_terminal) return;
        session.err << fmt::format("\r{} of {} sheets", done, asked.sheets) << std::flush;
        if (done == asked.sheets) session.err << "\r\x1b[K" << std::flush;
    };
    const field::Trial trial = field::run_trial(scale.description, priors, setting, progress);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    spdlog::info("{:.3f} s, {:.1f} ms a sheet", took.count(), 1000.0 * took.count() / asked.sheets);
    session.json ? report::print_trial_json(session.out, scale.name, setting, trial)
                 : report::print_trial(session.out, scale.name, setting, trial, session.style);
    return Exit::done;
}

}  // namespace

void add_trial(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command =
        app.add_subcommand("trial", "How often the diagnosis is right, on made-up complaints");
    command->add_option("scale", asked->scale_path, "Scale file (TOML)")->required();
    command->add_option("--sheets", asked->sheets, "How many complaints (default 100)")
        ->check(CLI::Range(1, most_sheets));
    add_seed(*command, asked->seed, "Of the first one (default 1); same seed, same result");
    command->add_flag("--healthy", asked->healthy,
                      "Every sheet from a sound scale: how often each kind of false alarm comes");
    command->add_option("--readings", asked->readings, "all (default) or weights")
        ->check(CLI::IsMember({"all", "weights"}));
    command->add_option(
        "--priors", asked->priors_path,
        "File (TOML) that says how likely each cause is before any reading: see 'cornerbench keys priors'");
    command->footer("Example:\n  cornerbench trial configs/scales/quarry-8.toml --sheets 20 --seed 1");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return measure(*asked, session); }; });
}

}  // namespace cornerbench::cli
