#include <chrono>
#include <memory>
#include <sstream>

#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>

#include "firmware/storage/crc32c.h"
#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/seed_option.h"
#include "sim/cli/written_file.h"
#include "sim/files/toml_text.h"
#include "sim/files/trial_file.h"
#include "sim/report/reliability_chart.h"
#include "sim/report/trial_report.h"
#include "sim/report/visit_report.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::string scale_path;
    std::string priors_path;
    std::string outcomes_path;
    std::string svg_path;
    std::string shard;
    int sheets = 100;
    std::uint64_t seed = 1;
    std::string readings = "all";
    bool healthy = false;
    bool minutes = false;
    std::string minutes_path;
};

struct AskedToMerge {
    std::vector<std::string> paths;
    std::string svg_path;
};

constexpr int most_sheets = 1000000;

field::TrialSetting setting_of(const files::TrialQuestion& question) {
    field::TrialSetting setting;
    setting.sheets = question.sheets;
    setting.first_seed = question.first_seed;
    setting.healthy = question.healthy;
    setting.minutes = question.minutes;
    if (question.readings == "weights") {
        field::SheetPlan& plan = setting.plan;
        plan.excitation = plan.channels = plan.input_output = plan.insulation = false;
        plan.empty_signals = plan.loaded_signals = false;
    }
    return setting;
}

field::TrialShard shard_or_stop(const std::string& words, int sheets) {
    if (words.empty()) return {};
    field::TrialShard shard;
    char slash = 0;
    std::istringstream text(words);
    text >> shard.number >> slash >> shard.parts;
    const bool whole = !text.fail() && text.peek() == std::istringstream::traits_type::eof() && slash == '/';
    if (!whole || shard.number < 1 || shard.number > shard.parts || shard.parts > sheets)
        throw Stop(
            Exit::wrong_usage,
            fmt::format("--shard {}: valid: K/N, the K-th of N parts, with K from 1 to N and N at most "
                        "the {} sheets of the whole",
                        words, sheets));
    return shard;
}

std::uint32_t checksum_or_stop(const std::string& path) {
    files::Findings findings(path);
    const auto text = files::read_text(path, findings);
    if (!text) throw Stop(Exit::host, path + ": cannot be read again for its checksum");
    const auto* bytes = reinterpret_cast<const std::uint8_t*>(text->data());
    return storage::crc32c({bytes, text->size()});
}

/// What is printed is the same for a trial run at once and for one put together from its parts.
void print(const files::TrialPart& whole, const std::string& svg_path, Session& session) {
    const std::string& scale = whole.question.scale;
    const field::TrialSetting setting = setting_of(whole.question);
    if (whole.question.kind == files::TrialKind::minutes) {
        const field::VisitTrial trial = field::tally_visits(whole.visits);
        session.json ? report::print_visits_json(session.out, scale, setting, trial)
                     : report::print_visits(session.out, scale, setting, trial, session.style);
        return;
    }
    const field::Trial trial = field::tally(whole.outcomes);
    if (!svg_path.empty()) {
        std::ostringstream picture;
        report::draw_reliability(picture, scale, trial);
        write_or_stop(svg_path, picture.str());
    }
    session.json ? report::print_trial_json(session.out, scale, setting, trial)
                 : report::print_trial(session.out, scale, setting, trial, session.style);
}

void check_picture_or_stop(const files::TrialQuestion& question, const std::string& svg_path) {
    if (question.kind == files::TrialKind::minutes && !svg_path.empty())
        throw Stop(Exit::wrong_usage, "--svg: there is no picture of --minutes; valid: without one of them");
}

files::TrialQuestion question_of(const Asked& asked, const files::ScaleFile& scale) {
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
    question.minutes = minutes_or_stop(asked.minutes_path);
    check_picture_or_stop(question, asked.svg_path);
    return question;
}

Exit measure(const Asked& asked, Session& session) {
    const files::ScaleFile scale = load_scale_or_stop(asked.scale_path);
    files::TrialPart part;
    part.question = question_of(asked, scale);
    part.shard = shard_or_stop(asked.shard, asked.sheets);
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
    if (part.shard.parts == 1) print(part, asked.svg_path, session);
    return Exit::done;
}

/// Index into `parts` of the file that holds each part.
std::vector<std::size_t> in_order_or_stop(const std::vector<files::TrialPart>& parts,
                                          const std::vector<std::string>& paths) {
    const auto none = parts.size();
    std::vector<std::size_t> order(static_cast<std::size_t>(parts.front().shard.parts), none);
    for (std::size_t i = 0; i < parts.size(); ++i) {
        if (!(parts[i].question == parts.front().question) ||
            parts[i].shard.parts != parts.front().shard.parts)
            throw Stop(Exit::impossible_file,
                       fmt::format("{}: is a part of another trial than {}: scale, priors, sheets, seed, "
                                   "readings and the number of parts must be the same",
                                   paths[i], paths.front()));
        std::size_t& place = order[static_cast<std::size_t>(parts[i].shard.number - 1)];
        if (place != none)
            throw Stop(Exit::impossible_file, fmt::format("{}: is part {} again, like {}", paths[i],
                                                          parts[i].shard.number, paths[place]));
        place = i;
    }
    for (std::size_t number = 0; number < order.size(); ++number)
        if (order[number] == none)
            throw Stop(Exit::impossible_file,
                       fmt::format("part {} of {} is missing: run 'cornerbench trial' with --shard {}/{}",
                                   number + 1, order.size(), number + 1, order.size()));
    return order;
}

Exit merge(const AskedToMerge& asked, Session& session) {
    std::vector<files::TrialPart> parts;
    for (const std::string& path : asked.paths) parts.push_back(load_trial_part_or_stop(path));
    files::TrialPart whole;
    whole.question = parts.front().question;
    check_picture_or_stop(whole.question, asked.svg_path);
    for (const std::size_t i : in_order_or_stop(parts, asked.paths)) {
        const files::TrialPart& part = parts[i];
        whole.outcomes.insert(whole.outcomes.end(), part.outcomes.begin(), part.outcomes.end());
        whole.visits.insert(whole.visits.end(), part.visits.begin(), part.visits.end());
    }
    print(whole, asked.svg_path, session);
    return Exit::done;
}

void add_svg(CLI::App& command, std::string& path) {
    command.add_option("--svg", path, "File for a picture: what was stated against what came true");
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
    command->add_option("--readings", asked->readings, "all (default) or weights")
        ->check(CLI::IsMember({"all", "weights"}));
    command->add_option(
        "--priors", asked->priors_path,
        "File (TOML) that says how likely each cause is before any reading: see 'cornerbench keys priors'");
    command->add_option("--outcomes", asked->outcomes_path, "File for what came of every sheet (JSON)");
    command->add_option("--shard", asked->shard,
                        "K/N: only the K-th of N parts, for 'cornerbench merge'; needs --outcomes");
    add_svg(*command, asked->svg_path);
    command->footer(
        "Example:\n"
        "  cornerbench trial configs/scales/quarry-8.toml --sheets 20 --seed 1\n"
        "  cornerbench trial configs/scales/sawmill-4.toml --minutes --sheets 20\n"
        "The same spread over two processes, to the same bytes:\n"
        "  for k in 1 2; do cornerbench trial configs/scales/quarry-8.toml \\\n"
        "      --sheets 20 --shard $k/2 --outcomes part-$k.json & done; wait\n"
        "  cornerbench merge part-1.json part-2.json");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return measure(*asked, session); }; });
}

void add_merge(CLI::App& app, Session& session) {
    auto asked = std::make_shared<AskedToMerge>();
    CLI::App* command = app.add_subcommand("merge", "The parts of a trial put together");
    command->add_option("parts", asked->paths, "Files that 'trial --shard --outcomes' wrote, in any order")
        ->required();
    add_svg(*command, asked->svg_path);
    command->footer(
        "Prints what 'cornerbench trial' would have printed without --shard, to the byte.\n"
        "Example:\n  cornerbench merge part-1.json part-2.json");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return merge(*asked, session); }; });
}

}  // namespace cornerbench::cli
