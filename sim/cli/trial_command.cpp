#include <chrono>
#include <memory>
#include <sstream>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "firmware/storage/crc32c.h"
#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/seed_option.h"
#include "sim/cli/shard_option.h"
#include "sim/cli/trial_printing.h"
#include "sim/cli/written_file.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::string priors_path;
    std::string outcomes_path;
    std::string svg_path;
    bool force = false;
    std::string shard;
    int sheets = 100;
    std::uint64_t seed = 1;
    std::string readings = "all";
    bool healthy = false;
    bool minutes = false;
    bool ranks = false;
    bool wild = false;
    bool ideal = false;
    std::string world = "rich";
    std::string minutes_path;
};

constexpr int most_sheets = 1000000;

std::uint32_t checksum_or_stop(const std::string& path) {
    const std::string text = text_or_stop(path);
    return storage::crc32c({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

files::TrialQuestion question_of(const Asked& asked, const files::ScaleFile& scale) {
    if (asked.ranks && (asked.minutes || asked.healthy))
        throw Stop(Exit::wrong_usage,
                   "--ranks goes without --minutes and --healthy: it asks for magnitudes of faults alone");
    if (asked.wild && (asked.minutes || asked.ranks))
        throw Stop(Exit::wrong_usage, "--wild goes without --minutes and --ranks: it mistypes whole sheets");
    if (asked.ideal && (asked.minutes || asked.ranks || asked.wild || asked.world != "plain"))
        throw Stop(Exit::wrong_usage,
                   "--ideal goes with --world plain alone, and without --minutes, --ranks and --wild: the "
                   "observer knows the plain world");
    if (asked.minutes && asked.readings != "all")
        throw Stop(
            Exit::wrong_usage,
            "--readings goes without --minutes: a visit begins with the weights and takes what it needs");
    if (!asked.minutes && !asked.minutes_path.empty())
        throw Stop(Exit::wrong_usage, "--minutes-of says how long checks take: it needs --minutes");
    files::TrialQuestion question;
    question.scale = scale.name;
    question.scale_checksum = checksum_or_stop(asked.scale_path);
    question.priors = priors_or_stop(asked.priors_path, scale.description);
    question.sheets = asked.sheets;
    question.first_seed = asked.seed;
    question.healthy = asked.healthy;
    question.readings = asked.readings;
    if (asked.minutes) question.kind = files::TrialKind::minutes;
    if (asked.ranks) question.kind = files::TrialKind::ranks;
    if (asked.ideal) question.kind = files::TrialKind::ideal;
    question.minutes = minutes_or_stop(asked.minutes_path);
    question.wild = asked.wild;
    question.world = asked.world;
    check_picture_or_stop(question, asked.svg_path);
    return question;
}

Exit measure(const Asked& asked, Session& session) {
    spare_or_stop({asked.outcomes_path, asked.svg_path}, asked.force);
    seeds_or_stop(asked.seed, static_cast<std::uint64_t>(asked.sheets));
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    files::TrialPart part;
    part.question = question_of(asked, scale);
    part.shard = shard_or_stop(asked.shard, asked.sheets, "sheets");
    if (part.shard.parts > 1 && asked.outcomes_path.empty())
        throw Stop(Exit::wrong_usage,
                   "--shard needs --outcomes FILE: 'cornerbench merge' puts the parts' files together");
    const int here = part.shard.end(asked.sheets) - part.shard.begin(asked.sheets);
    const auto start = std::chrono::steady_clock::now();
    const auto progress = [&](int done) {
        if (!session.err_is_terminal) return;
        session.err << fmt::format("\r{} of {} sheets", done, here) << std::flush;
        if (done == here) session.err << "\r\x1b[K" << std::flush;
    };
    const field::TrialSetting setting = setting_of(part.question);
    if (part.question.kind == files::TrialKind::minutes) {
        part.visits =
            field::run_visits(scale.description, part.question.priors, setting, part.shard, progress);
    } else if (part.question.kind == files::TrialKind::ranks) {
        part.ranks = field::run_ranks(scale.description, part.question.priors, setting, part.shard, progress);
    } else if (part.question.kind == files::TrialKind::ideal) {
        part.observed =
            field::run_observer_trial(scale.description, part.question.priors, setting, part.shard, progress);
    } else {
        part.outcomes =
            field::run_trial(scale.description, part.question.priors, setting, part.shard, progress);
    }
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    spdlog::info("{:.3f} s, {:.1f} ms a sheet", took.count(), 1000.0 * took.count() / here);
    if (!asked.outcomes_path.empty()) {
        std::ostringstream text;
        files::write_trial_part(text, part);
        write_or_stop(asked.outcomes_path, text.str());
    }
    if (part.shard.parts == 1) print_trial_whole(part, asked.svg_path, session);
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
    command->add_flag(
        "--minutes", asked->minutes,
        "Whole visits instead: how long until the diagnosis is sure by the proposed checks, and "
        "how long by a textbook's fixed order");
    command->add_option("--minutes-of", asked->minutes_path,
                        "File (TOML) that says how long checks take: see 'cornerbench keys minutes'");
    command->add_flag("--ranks", asked->ranks,
                      "Magnitudes instead: whether the true ones stand evenly in what is stated of them");
    command->add_flag("--wild", asked->wild,
                      "One value of every sheet is mistyped: how often it is named and the cause right");
    command
        ->add_option("--world", asked->world,
                     "rich (default): creep, hysteresis, warmth, drift, careless placing and meters that "
                     "err alike, of which the diagnosis knows nothing; or plain")
        ->check(CLI::IsMember({"rich", "plain"}));
    command->add_flag("--ideal", asked->ideal,
                      "Beside an observer who knows how the sheets come about: what nobody could tell; "
                      "seconds a sheet, needs --world plain");
    command
        ->add_option("--readings", asked->readings,
                     "all (default); signals: weights and lifted signals; weights; or corners")
        ->check(CLI::IsMember({"all", "signals", "weights", "corners"}));
    command->add_option(
        "--priors", asked->priors_path,
        "File (TOML) that says how likely each cause is before any reading: see 'cornerbench keys priors'");
    command->add_option("--outcomes", asked->outcomes_path, "File for what came of every sheet (JSON)");
    command->add_option("--shard", asked->shard,
                        "K/N: only the K-th of N parts, for 'cornerbench merge'; needs --outcomes");
    command->add_option("--svg", asked->svg_path, svg_help);
    add_force(*command, asked->force);
    command->footer(
        "Example:\n"
        "  cornerbench trial configs/scales/quarry-8.toml --sheets 20 --seed 1\n"
        "  cornerbench trial configs/scales/sawmill-4.toml --minutes --sheets 20\n"
        "  cornerbench trial configs/scales/sawmill-4.toml --ranks --sheets 1000\n"
        "The same spread over two processes, to the same bytes:\n"
        "  for k in 1 2; do cornerbench trial configs/scales/quarry-8.toml \\\n"
        "      --sheets 20 --shard $k/2 --outcomes part-$k.json & done; wait\n"
        "  cornerbench merge part-1.json part-2.json");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return measure(*asked, session); }; });
}

}  // namespace cornerbench::cli
