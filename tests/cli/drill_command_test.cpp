#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "sim/report/table.h"
#include "sim/training/drill_progress.h"
#include "tests/cli/command_line.h"

using namespace cornerbench;
using namespace cornerbench::cli;

namespace fs = std::filesystem;

TEST_CASE("a drill can be done by a script, and its result is kept", "[cli]") {
    const fs::path folder = fs::temp_directory_path() / "cornerbench-drill-test";
    fs::remove_all(folder);
    fs::create_directories(folder);
    const std::string progress = (folder / "progress.toml").string();
    const std::vector<std::string> words{
        "drill", config("scales/sawmill-4.toml"), "--level", "1", "--seed", "5", "--json", "--progress",
        progress};
    const Answer right =
        ask(words, false, "look colours 3   # what the hint says\ncall signal-pair-swapped cell=3\n");
    CHECK(right.code == 0);
    const auto document = right.json();
    CHECK(document["schema"] == 1);
    CHECK(document["right"] == true);
    CHECK(document["hidden"] == std::vector<std::string>{"signal-pair-swapped cell=3"});
    CHECK(document["steps"].size() == 1);
    CHECK(document["minutes"] == 3.0);
    CHECK(document["points"].get<int>() > 60);

    const Answer given_up = ask(words, false, "give up\n");
    CHECK(given_up.code == 1);
    CHECK(given_up.json()["points"] == 0);

    const auto kept = training::load_progress(progress);
    REQUIRE(kept);
    REQUIRE(kept.value->size() == 2);
    CHECK(kept.value->front().right);
    CHECK_FALSE(kept.value->back().right);
    CHECK(kept.value->front().points == document["points"]);
    CHECK(kept.value->front().scale == "Sawmill log scale");

    // A file that is none is left as it is, and nothing is drilled.
    std::ofstream(progress) << "[[drill]]\nlevel = 9\n";
    const Answer refused = ask(words, false, "give up\n");
    CHECK(refused.code == 3);
    CHECK(refused.complains("level"));
    std::ifstream file(progress);
    CHECK(std::string(std::istreambuf_iterator<char>(file), {}) == "[[drill]]\nlevel = 9\n");
    fs::remove_all(folder);
}

TEST_CASE("a drill answers whatever is typed within 80 columns", "[cli][long]") {
    const Answer answer =
        ask({"drill", config("scales/harbour-8.toml"), "--level", "3", "--seed", "2"}, false,
            "help\ncauses\ncauses wet-leak\ncauses nothing\nsheet\nfoo\nweight over 99\n\x01\xff\n"
            "channel 3 over 3\nhint\ncall wet-leak\ncall healthy\ncall trim-off cell=1\nquit\n");
    CHECK((answer.code == 0 || answer.code == 1));
    std::istringstream lines(answer.out);
    for (std::string line; std::getline(lines, line);) {
        CAPTURE(line);
        CHECK(report::display_width(line) <= report::page_width);
    }
}

TEST_CASE("progress is counted level by level", "[files]") {
    std::vector<training::DoneDrill> drills;
    CHECK(training::progress_words(drills) == "Next: level 1.");
    drills.push_back({"2026-11-29", "a \"scale\"", 1, 1, true, 80, 10.0, 8.0});
    drills.push_back({"2026-11-29", "a \"scale\"", 1, 2, true, 60, 10.0, 8.0});
    CHECK(training::progress_words(drills) == "Level 1: 2 of 2 found, 70 points on average. Next: level 2.");
    std::string text;
    for (const auto& drill : drills) text += training::progress_block(drill);
    const auto again = training::parse_progress(text, "progress.toml");
    REQUIRE(again);
    REQUIRE(again.value->size() == 2);
    CHECK(again.value->back().scale == "a \"scale\"");
    CHECK(again.value->back().minutes == 10.0);
}
