#include <memory>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/spread_printing.h"
#include "sim/cli/trial_printing.h"
#include "sim/cli/written_file.h"
#include "sim/field/shard_order.h"
#include "sim/report/bad_days_report.h"

namespace cornerbench::cli {

namespace {

struct AskedToMerge {
    std::vector<std::string> paths;
    std::string svg_path;
    bool force = false;
};

/// Index into `parts` of the file that holds each part.
std::vector<std::size_t> in_order_or_stop(const std::vector<files::TrialPart>& parts,
                                          const std::vector<std::string>& paths) {
    const field::ShardOrder found = field::shard_order(
        parts, [](const files::TrialPart& a, const files::TrialPart& b) { return a.question == b.question; });
    switch (found.trouble) {
        case field::ShardOrder::Trouble::different:
            throw Stop(Exit::impossible_file,
                       fmt::format("{}: is a part of another trial than {}: scale, priors, sheets, seed, "
                                   "readings and the number of parts must be the same",
                                   paths[found.at], paths.front()));
        case field::ShardOrder::Trouble::twice:
            throw Stop(Exit::impossible_file, fmt::format("{}: is part {} again, like {}", paths[found.at],
                                                          parts[found.at].shard.number, paths[found.like]));
        case field::ShardOrder::Trouble::missing:
            throw Stop(Exit::impossible_file,
                       field::missing_part_words(found.at, parts.front().shard.parts, "trial"));
        case field::ShardOrder::Trouble::none:
            break;
    }
    return found.order;
}

Exit merge_bad_days(const AskedToMerge& asked, Session& session) {
    if (!asked.svg_path.empty())
        throw Stop(Exit::wrong_usage, "--svg: there is no picture of bad days; valid: without it");
    std::vector<bad_days::CampaignPart> parts;
    std::string error;
    for (const std::string& path : asked.paths) {
        const auto part = bad_days::read_part(text_or_stop(path, files::largest_part_bytes), error);
        if (!part) throw Stop(Exit::impossible_file, path + ": " + error);
        parts.push_back(*part);
    }
    const auto whole = bad_days::put_together(parts, error);
    if (!whole) throw Stop(Exit::impossible_file, error);
    session.json ? report::print_bad_days_json(session.out, *whole)
                 : report::print_bad_days(session.out, *whole, session.style);
    return whole->tally.wrong == 0 ? Exit::done : Exit::answer_is_no;
}

Exit merge_spread(const AskedToMerge& asked, Session& session) {
    std::vector<spread::SpreadPart> parts;
    std::string error;
    for (const std::string& path : asked.paths) {
        const auto part = spread::read_part(text_or_stop(path, files::largest_part_bytes), error);
        if (!part) throw Stop(Exit::impossible_file, path + ": " + error);
        parts.push_back(*part);
    }
    const auto whole = spread::put_together(parts, error);
    if (!whole) throw Stop(Exit::impossible_file, error);
    print_spread_whole(*whole, asked.svg_path, session);
    return Exit::done;
}

Exit merge(const AskedToMerge& asked, Session& session) {
    if (!asked.force) spare_or_stop(asked.svg_path);
    const std::string first = text_or_stop(asked.paths.front(), files::largest_part_bytes);
    if (bad_days::is_campaign_part(first)) return merge_bad_days(asked, session);
    if (spread::is_spread_part(first)) return merge_spread(asked, session);
    if (!files::looks_like_trial_part(first))
        throw Stop(Exit::impossible_file,
                   asked.paths.front() +
                       ": is no part, or only the beginning of one; valid: what 'trial', 'bad-days' or "
                       "'spread' wrote with --outcomes");
    std::vector<files::TrialPart> parts;
    for (const std::string& path : asked.paths) parts.push_back(load_trial_part_or_stop(path));
    files::TrialPart whole;
    whole.question = parts.front().question;
    check_picture_or_stop(whole.question, asked.svg_path);
    for (const std::size_t i : in_order_or_stop(parts, asked.paths)) {
        const files::TrialPart& part = parts[i];
        whole.outcomes.insert(whole.outcomes.end(), part.outcomes.begin(), part.outcomes.end());
        whole.visits.insert(whole.visits.end(), part.visits.begin(), part.visits.end());
        whole.ranks.insert(whole.ranks.end(), part.ranks.begin(), part.ranks.end());
        whole.observed.insert(whole.observed.end(), part.observed.begin(), part.observed.end());
    }
    print_trial_whole(whole, asked.svg_path, session);
    return Exit::done;
}

}  // namespace

void add_merge(CLI::App& app, Session& session) {
    auto asked = std::make_shared<AskedToMerge>();
    CLI::App* command =
        app.add_subcommand("merge", "The parts of a trial, of bad days or of a spread, put together");
    command
        ->add_option(
            "parts", asked->paths,
            "Files that 'trial', 'bad-days' or 'spread' wrote with --shard and --outcomes, in any order")
        ->required();
    command->add_option("--svg", asked->svg_path,
                        "File for the picture that the command itself draws: of a trial what came true, of a "
                        "spread the histogram");
    add_force(*command, asked->force);
    command->footer(
        "Prints what the command would have printed without --shard, to the byte.\n"
        "Example:\n  cornerbench merge part-1.json part-2.json");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return merge(*asked, session); }; });
}

}  // namespace cornerbench::cli
