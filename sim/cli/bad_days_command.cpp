#include <filesystem>
#include <memory>

#include <spdlog/fmt/fmt.h>

#include "firmware/storage/crc32c.h"
#include "sim/bad_days/drawn_scale.h"
#include "sim/cli/commands.h"
#include "sim/cli/loading.h"
#include "sim/cli/recording_file.h"
#include "sim/cli/recording_notes.h"
#include "sim/cli/seed_option.h"
#include "sim/cli/shard_option.h"
#include "sim/cli/written_file.h"
#include "sim/report/bad_days_report.h"
#include "sim/report/table.h"

namespace cornerbench::cli {

namespace {

struct Asked {
    std::vector<std::string> scale_paths;
    std::uint64_t drawn = 0;
    long runs = 1000;
    std::uint64_t seed = 1;
    std::string shard;
    std::string outcomes_path;
    std::string day;
    std::string record_path;
    bool force = false;
};

bad_days::DayScale day_scale_or_stop(const std::string& path) {
    bad_days::DayScale scale;
    scale.name = std::filesystem::path(path).stem().string();
    scale.file = load_scale_or_stop(path);
    scale.standard = standard_or_stop(scale.file);
    scale.text = text_or_stop(path);
    return scale;
}

bad_days::DayScale drawn_or_stop(std::uint64_t seed) {
    auto scale = bad_days::drawn_scale(seed);
    if (!scale) throw Stop(Exit::internal, fmt::format("scale drawn by seed {} is refused", seed));
    return std::move(*scale);
}

/// Those that were asked for, and the one that `--case` means.
std::vector<bad_days::DayScale> given_or_stop(const Asked& asked) {
    std::vector<bad_days::DayScale> given;
    for (const std::string& path : asked.scale_paths) given.push_back(day_scale_or_stop(path));
    if (!asked.day.empty()) {
        if (const auto seed = bad_days::drawn_seed(asked.day)) given.push_back(drawn_or_stop(*seed));
        return given;
    }
    for (std::uint64_t seed = 1; seed <= asked.drawn; ++seed) given.push_back(drawn_or_stop(seed));
    if (given.empty())
        throw Stop(Exit::wrong_usage,
                   "no scale: valid are scale files, '--drawn 50' for drawn ones, or both");
    return given;
}

std::uint32_t checksum_of(const std::vector<bad_days::DayScale>& scales) {
    std::string all;
    for (const bad_days::DayScale& scale : scales) all += scale.text;
    return storage::crc32c({reinterpret_cast<const std::uint8_t*>(all.data()), all.size()});
}

Exit tell_day(const Asked& asked, const std::vector<bad_days::DayScale>& scales, Session& session) {
    std::string error;
    const auto named = bad_days::find_day(scales, asked.day, error);
    if (!named) throw Stop(Exit::wrong_usage, fmt::format("--case {} {}", asked.day, error));
    std::unique_ptr<RecordingSink> sink;
    bad_days::DaySetting setting;
    setting.tell = true;
    if (!asked.record_path.empty()) {
        const files::ScaleFile& file = named->scale->file;
        if (bad_days::drawn_seed(named->scale->name))
            throw Stop(
                Exit::wrong_usage,
                "--record: a drawn scale has no file to go into its recording; valid: a day of a scale file");
        if (std::filesystem::path(file.path).stem().string() != named->scale->name)
            throw Stop(Exit::wrong_usage,
                       fmt::format("--record: the box of {} was changed, so no scale file goes into its "
                                   "recording; valid: a day of a scale as its file has it",
                                   named->scale->name));
        sink = std::make_unique<RecordingSink>(asked.record_path);
        setting.recording = sink.get();
        setting.notes = recording_notes_or_stop("bad day " + asked.day, file.path, named->scale->standard);
    }
    const bad_days::DayOutcome day = bad_days::spend_day(*named->scale, named->seed, setting);
    if (sink) sink->close_or_stop();
    if (session.json) {
        report::Json document = report::json_document();
        document["case"] = asked.day;
        document["story"] = day.story;
        document["wrong"] = day.wrong;
        document["weights_judged"] = day.judged;
        document["hash"] = fmt::format("{:016x}", day.hash);
        report::print_json(session.out, document);
    } else {
        for (const std::string& line : day.story) report::print_wrapped(session.out, line, 2);
        if (day.wrong.empty())
            session.out << fmt::format("{} weights, none of them wrong and shown as right.\n", day.judged);
        else
            report::print_wrapped(session.out, "A wrong weight was shown as right: " + day.wrong + ".", 0);
    }
    return day.wrong.empty() ? Exit::done : Exit::answer_is_no;
}

Exit spend(const Asked& asked, Session& session) {
    spare_or_stop({asked.outcomes_path, asked.record_path}, asked.force);
    seeds_or_stop(asked.seed, static_cast<std::uint64_t>(asked.runs));
    const std::vector<bad_days::DayScale> given = given_or_stop(asked);
    const std::vector<bad_days::DayScale> scales = bad_days::with_both_boxes(given);
    if (!asked.day.empty()) return tell_day(asked, scales, session);
    if (!asked.record_path.empty())
        throw Stop(Exit::wrong_usage, "--record needs --case: a recording is of one day");
    bad_days::CampaignPart part;
    for (const bad_days::DayScale& scale : scales) part.scales.push_back(scale.name);
    part.checksum = checksum_of(given);
    part.setting = {asked.runs, asked.seed};
    part.shard = shard_or_stop(asked.shard, static_cast<int>(asked.runs), "runs");
    if (part.shard.parts > 1 && asked.outcomes_path.empty())
        throw Stop(Exit::wrong_usage,
                   "--shard needs --outcomes FILE: 'cornerbench merge' puts the parts' files together");
    const int runs = static_cast<int>(asked.runs);
    const int here = part.shard.end(runs) - part.shard.begin(runs);
    part.tally = bad_days::spend_days(scales, part.setting, part.shard, [&](int done) {
        if (!session.err_is_terminal || (done % 100 != 0 && done != here)) return;
        session.err << fmt::format("\r{} of {} days", done, here) << std::flush;
        if (done == here) session.err << "\r\x1b[K" << std::flush;
    });
    if (!asked.outcomes_path.empty())
        write_or_stop(asked.outcomes_path, bad_days::json_of(part).dump(1) + '\n');
    if (part.shard.parts == 1)
        session.json ? report::print_bad_days_json(session.out, part)
                     : report::print_bad_days(session.out, part, session.style);
    return part.tally.wrong == 0 ? Exit::done : Exit::answer_is_no;
}

}  // namespace

void add_bad_days(CLI::App& app, Session& session) {
    auto asked = std::make_shared<Asked>();
    CLI::App* command = app.add_subcommand(
        "bad-days", "Whether the firmware ever shows a wrong weight as right, whatever goes wrong");
    command->add_option("scales", asked->scale_paths, "Scale files (TOML)");
    command
        ->add_option("--drawn", asked->drawn,
                     "So many scales drawn by seeds 1, 2 and so on, 4 to 16 cells, beside them")
        ->check(CLI::Range(0, 10'000));
    command->add_option("--runs", asked->runs, "How many days (default 1000), over the scales in turn")
        ->check(CLI::Range(1L, bad_days::most_days));
    add_seed(*command, asked->seed, "Of the first day (default 1); same seed, same result");
    command->add_option("--case", asked->day, "Tells one day, SCALE:SEED, instead");
    command->add_option("--record", asked->record_path,
                        "File for that day's recording, for 'cornerbench replay'");
    command->add_option("--outcomes", asked->outcomes_path, "File for what came of all days (JSON)");
    command->add_option("--shard", asked->shard,
                        "K/N: only the K-th of N parts, for 'cornerbench merge'; needs --outcomes");
    add_force(*command, asked->force);
    command->footer(
        "Every scale is tried as it is and with a channel per cell. A day draws\n"
        "traffic and faults of converter, line, supply, memory, scale and operator;\n"
        "no weight may be shown, sent or readable as valid and stable that lies\n"
        "farther than the limit in service from every load of the last second.\n"
        "Exit code 1: one was; each such day has its name for --case.\n"
        "Example:\n"
        "  cornerbench bad-days configs/scales/quarry-8.toml --runs 200\n"
        "  cornerbench bad-days --drawn 50 --runs 1000\n"
        "  cornerbench bad-days configs/scales/quarry-8.toml --case quarry-8:17");
    command->callback(
        [asked, &session] { session.action = [asked, &session] { return spend(*asked, session); }; });
}

}  // namespace cornerbench::cli
