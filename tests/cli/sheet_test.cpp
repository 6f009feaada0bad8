#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "sim/files/scale_keys.h"
#include "sim/files/sheet_file.h"
#include "tests/cli/command_line.h"
#include "tests/files/scale_text.h"

using namespace cornerbench;
using namespace cornerbench::cli;

namespace fs = std::filesystem;

TEST_CASE("every shipped sheet and scale loads without a warning", "[configs]") {
    int sheets = 0;
    for (const auto& entry : fs::directory_iterator(config("sheets"))) {
        INFO(entry.path().string());
        const auto sheet = files::load_sheet(entry.path().string());
        INFO(files::to_string(sheet.errors));
        REQUIRE(sheet);
        CHECK(sheet.warnings.empty());
        CHECK(sheet.value->readings.size() >= 10);
        ++sheets;
    }
    CHECK(sheets >= 8);
    for (const auto& entry : fs::directory_iterator(config("scales"))) {
        INFO(entry.path().string());
        const auto scale = files::load_scale(entry.path().string());
        REQUIRE(scale);
        CHECK(scale.warnings.empty());
    }
}

TEST_CASE("a made-up sheet is written where asked and finds its scale from there", "[cli]") {
    const fs::path folder = fs::temp_directory_path() / "cornerbench-sheet-test";
    fs::remove_all(folder);
    fs::create_directories(folder);
    const std::string path = (folder / "drill.toml").string();
    const Answer answer =
        ask({"sheet", config("scales/quarry-8.toml"), "--hidden", "--seed", "7", "-o", path, "--json"});
    CHECK(answer.code == 0);
    const auto document = answer.json();
    CHECK(document["schema"] == 1);
    CHECK(document["faults"].size() == 1);
    CHECK(document["written_to"] == path);
    const auto loaded = files::load_sheet(path);
    INFO(files::to_string(loaded.errors));
    REQUIRE(loaded);
    CHECK(loaded.value->readings.size() == document["readings"]);

    // Another sheet does not take its place unasked.
    const std::vector<std::string> again{"sheet", config("scales/sawmill-4.toml"), "-o", path};
    const Answer refused = ask(again);
    CHECK(refused.code == 4);
    CHECK(refused.complains("is there already; --force writes over it"));
    CHECK(files::load_sheet(path).value->readings.size() == document["readings"]);
    auto forced = again;
    forced.push_back("--force");
    CHECK(ask(forced).code == 0);
    CHECK(files::load_sheet(path).value->scale.description.cell_count() == 4);
    fs::remove_all(folder);
}

TEST_CASE("a hidden cause stays hidden, and one seed is one sheet", "[cli]") {
    const std::vector<std::string> line{"sheet", config("scales/quarry-8.toml"), "--hidden", "--seed", "3"};
    const Answer first = ask(line);
    CHECK(first.code == 0);
    CHECK(first.out == ask(line).out);
    auto json = line;
    json.push_back("--json");
    const std::string words = ask(json).json()["faults"][0];
    CHECK_FALSE(first.says(words.substr(0, words.find(' '))));
    CHECK(ask({"sheet", config("scales/quarry-8.toml"), "--hidden", "--with", "healthy"}).code == 2);
}

TEST_CASE("fewer readings and a weight of one's own, when asked", "[cli]") {
    const auto count = [](const std::string& readings) {
        return ask({"sheet", config("scales/quarry-8.toml"), "--readings", readings, "--json"})
            .json()["readings"];
    };
    CHECK(count("corners") == 10);  // empty, eight corners, empty again
    CHECK(count("weights") == 14);
    CHECK(count("all") == 55);
    CHECK(ask({"sheet", config("scales/quarry-8.toml"), "--mass", "7000", "--readings", "corners"})
              .says("mass = 7000"));
}

TEST_CASE("keys that count only where time passes change nothing in a still scale, and say so", "[cli]") {
    using files::testing::ScaleText;
    const fs::path path = fs::temp_directory_path() / "cornerbench-still-test.toml";
    const fs::path sheet = fs::temp_directory_path() / "cornerbench-still-sheet.toml";
    const auto pictures = [&path, &sheet](const ScaleText& text) {
        std::ofstream(path) << text.text();
        const std::string scale = path.string();
        std::string all = ask({"corners", scale, "--unrounded", "--json"}).out;
        all += ask({"sheet", scale, "--seed", "5"}).out;
        all +=
            ask({"sheet", scale, "--exact", "--decreasing", "--force", "-o", sheet.string(), "--json"}).out;
        all += ask({"diagnose", sheet.string()}).out;
        return all;
    };
    const std::string before = pictures(ScaleText::full());
    REQUIRE(before.find("readings, 4 supports") != std::string::npos);
    const std::string keys = ask({"keys", "scale"}).out;
    int in_time = 0;
    for (const files::ScaleKey& key : files::scale_keys()) {
        if (!key.in_time_only) continue;
        INFO(key.table << " " << key.name);
        ++in_time;
        const bool whole = key.kind == files::KeyKind::integer;
        CHECK(pictures(ScaleText::full().set(key.table, key.name, whole ? "12" : "2.5")) == before);
        const std::size_t at = keys.find("  " + std::string(key.name) + ": ");
        const std::size_t valid = keys.find("default", at);
        std::istringstream words(keys.substr(at, valid - at));
        std::string text;
        for (std::string word; words >> word;) text += word + " ";
        CHECK(text.find("counts only where time passes") != std::string::npos);
    }
    CHECK(in_time == 7);
    CHECK(pictures(ScaleText::full().set("cell", "nonlinearity_percent", "2.5")) != before);
    fs::remove(path);
    fs::remove(sheet);
}

TEST_CASE("a trial of sound scales counts false alarms of every kind", "[cli]") {
    const std::vector<std::string> line{"trial",     config("scales/sawmill-4.toml"),
                                        "--healthy", "--sheets",
                                        "12",        "--readings",
                                        "weights",   "--seed",
                                        "1"};
    auto json = line;
    json.push_back("--json");
    const auto document = ask(json).json();
    REQUIRE(document["causes"].size() == 1);
    CHECK(document["causes"][0]["name"] == "healthy");
    CHECK(document["causes"][0]["drawn"] == 12);
    const auto& alarms = document["false_alarms"];
    CHECK(alarms["sheets"] == 12);
    CHECK(alarms["first"].get<int>() + document["causes"][0]["on_top"].get<int>() == 12);
    CHECK(alarms["low"].get<double>() <= alarms["share"].get<double>());
    CHECK(alarms["high"].get<double>() >= alarms["share"].get<double>());
    int first = 0;
    for (const auto& kind : alarms["kinds"]) {
        first += kind["first"].get<int>();
        CHECK(kind["name"] != "healthy");
        CHECK(kind["sure"].get<int>() <= kind["first"].get<int>());
    }
    CHECK(first == alarms["first"].get<int>());
    const Answer text = ask(line);
    CHECK(text.code == 0);
    CHECK(text.says("a false alarm"));
    CHECK(text.says("95 % interval"));
    std::istringstream lines(text.out);
    for (std::string each; std::getline(lines, each);) CHECK(each.size() <= 80);
}

TEST_CASE("a trial says the same for the same seed", "[cli][long]") {
    const std::vector<std::string> line{
        "trial",  config("scales/sawmill-4.toml"), "--sheets", "3", "--seed", "5", "--json", "--readings",
        "weights"};
    const Answer first = ask(line);
    CHECK(first.code == 0);
    const auto document = first.json();
    CHECK(document["schema"] == 1);
    CHECK(document["sheets"] == 3);
    CHECK(document["failed"] == 0);
    CHECK(first.out == ask(line).out);
    int drawn = 0;
    for (const auto& cause : document["causes"]) drawn += cause["drawn"].get<int>();
    CHECK(drawn == 3);
    CHECK_FALSE(document.contains("false_alarms"));
    const Answer text = ask({line.begin(), line.begin() + 6});
    CHECK(text.says("given to the true cause, geometric mean"));
    CHECK_FALSE(text.says("bits"));
    CHECK_FALSE(text.says("?"));
}
