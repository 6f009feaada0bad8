#include <catch2/catch.hpp>
#include <filesystem>

#include "sim/files/sheet_file.h"
#include "tests/cli/command_line.h"

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

TEST_CASE("a trial says the same for the same seed", "[cli]") {
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
}
