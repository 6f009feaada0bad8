#include "sim/training/drill_progress.h"

#include <filesystem>
#include <set>
#include <sstream>

#include <spdlog/fmt/fmt.h>

#include "sim/files/table_view.h"
#include "sim/files/toml_text.h"
#include "sim/training/level_progress.h"

namespace cornerbench::training {

namespace {

constexpr files::Range levels{1.0, level_count};
constexpr files::Range seeds{0.0, 1.0e9};
constexpr files::Range points{0.0, 100.0};
constexpr files::Range minutes{0.0, 1.0e5};

/// As TOML has text.
std::string in_quotes(const std::string& text) {
    std::ostringstream out;
    out << toml::value<std::string>(text);
    return out.str();
}

DoneDrill drill_of(const files::TableView& table) {
    DoneDrill drill;
    table.unknown_keys(
        {"on", "scale", "lesson", "level", "seed", "right", "points", "minutes", "plan_minutes"});
    drill.on = table.text("on").value_or("");
    drill.scale = table.text("scale").value_or("");
    drill.lesson = table.text("lesson").value_or("");
    const auto level = table.integer("level", levels, files::range_text(levels, ""));
    const auto seed = table.integer("seed", seeds, files::range_text(seeds, ""));
    const auto right = table.flag("right");
    const auto got = table.integer("points", points, files::range_text(points, ""));
    for (const char* key : {"level", "seed", "right", "points"}) {
        const bool lesson_has_none = std::string_view(key) == "level" && table.has("lesson");
        if (!table.has(key) && !lesson_has_none)
            table.missing(key, "what 'cornerbench drill --progress' writes");
    }
    drill.level = static_cast<int>(level.value_or(drill.lesson.empty() ? 1 : 0));
    drill.seed = static_cast<std::uint64_t>(seed.value_or(1));
    drill.right = right.value_or(false);
    drill.points = static_cast<int>(got.value_or(0));
    drill.minutes = table.number("minutes", minutes, files::range_text(minutes, "minutes")).value_or(0.0);
    drill.plan_minutes =
        table.number("plan_minutes", minutes, files::range_text(minutes, "minutes")).value_or(0.0);
    return drill;
}

files::Loaded<std::vector<DoneDrill>> drills_of(std::string_view text, files::Findings& findings) {
    std::vector<DoneDrill> drills;
    if (const auto table = files::parse_text(text, findings)) {
        const files::TableView root(*table, "", files::Spot{}, findings);
        root.unknown_keys({"drill"});
        for (const files::TableView& each : root.tables("drill")) drills.push_back(drill_of(each));
    }
    return findings.result(drills);
}

}  // namespace

files::Loaded<std::vector<DoneDrill>> load_progress(const std::string& path) {
    files::Findings findings(path);
    std::error_code ignored;
    if (!std::filesystem::exists(path, ignored)) return findings.result(std::vector<DoneDrill>{});
    const auto text = files::read_text(path, findings);
    return text ? drills_of(*text, findings) : findings.result(std::vector<DoneDrill>{});
}

files::Loaded<std::vector<DoneDrill>> parse_progress(std::string_view text, const std::string& path) {
    files::Findings findings(path);
    return drills_of(text, findings);
}

std::string progress_block(const DoneDrill& drill) {
    const std::string which = drill.lesson.empty() ? fmt::format("level = {}", drill.level)
                                                   : fmt::format("lesson = {}", in_quotes(drill.lesson));
    return fmt::format(
        "\n[[drill]]\non = \"{}\"\nscale = {}\n{}\nseed = {}\nright = {}\npoints = {}\n"
        "minutes = {:.1f}\nplan_minutes = {:.1f}\n",
        drill.on, in_quotes(drill.scale), which, drill.seed, drill.right, drill.points, drill.minutes,
        drill.plan_minutes);
}

std::string progress_words(std::span<const DoneDrill> drills) {
    std::vector<LevelDone> by_level;
    std::set<std::string_view> lessons;
    for (const DoneDrill& drill : drills) {
        if (drill.lesson.empty())
            by_level.push_back({drill.level, drill.right, drill.points});
        else if (drill.right)
            lessons.insert(drill.lesson);
    }
    const LevelProgress progress = level_progress(by_level);
    std::string text;
    for (int level = 1; level <= level_count; ++level) {
        const LevelTally& tally = progress.of[static_cast<unsigned>(level - 1)];
        if (tally.done == 0) continue;
        text += fmt::format("Level {}: {} of {} found, {:.0f} points on average. ", level, tally.found,
                            tally.done, tally.mean_points);
    }
    if (!lessons.empty()) text += fmt::format("Lessons finished: {}. ", lessons.size());
    return text + fmt::format("Next: level {}.", progress.next);
}

}  // namespace cornerbench::training
