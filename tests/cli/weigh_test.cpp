#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

#include "tests/cli/command_line.h"

using namespace cornerbench::cli;

namespace {

const std::string root = CORNERBENCH_SOURCE_DIR;
const std::string scale = root + "/configs/scales/quarry-8.toml";

}  // namespace

TEST_CASE("weigh answers 0 when all was within the limits, 1 when not", "[cli]") {
    const Answer sound = ask({"weigh", scale});
    CHECK(sound.code == 0);
    CHECK(sound.err.empty());
    CHECK(sound.says("corners alike"));
    const Answer wrong = ask({"weigh", scale, "--with", "weak-output cell=4 ratio=0.5"});
    CHECK(wrong.code == 1);
    CHECK(wrong.says("support 4"));
}

TEST_CASE("weigh --json is one document with every ticket beside the truth", "[cli]") {
    const auto document = ask({"weigh", scale, "--json", "--seed", "5"}).json();
    CHECK(document["schema"] == 1);
    CHECK(document["seed"] == 5);
    REQUIRE(document["tickets"].size() == 2);
    CHECK(document["tickets"][0]["true"] == 26'000);
    CHECK(document["tickets"][0]["within"] == true);
    CHECK(document["state_hash"].get<std::string>().size() == 16);
}

TEST_CASE("weigh says what is wrong with what it was given, and where", "[cli]") {
    CHECK(ask({"weigh", scale, "--session", "/nowhere.toml"}).code == 4);
    CHECK(ask({"weigh", scale, "--session", root + "/configs/sheets/quarry-west-end-light.toml"}).code == 3);
    CHECK(ask({"weigh", scale, "--with", "rubing"}).code == 2);
    const Answer help = ask({"weigh", "--help"});
    CHECK(help.out.find('\n') <= 80);
    CHECK(ask({"weigh", scale, "--svg", "/nowhere/x.svg"}).code == 4);
    CHECK(ask({"weigh"}).code == 2);
}

TEST_CASE("weigh refuses a converter too coarse for the division, and takes what it says is valid", "[cli]") {
    // By hand: 20 kg on 8 cells of 30 t and 2 mV/V are 1.667e-7 V/V; a 12-bit code of +-3.9 mV/V is 1.904e-6.
    std::ifstream file(scale);
    std::stringstream read;
    read << file.rdbuf();
    const std::filesystem::path path = std::filesystem::temp_directory_path() / "cornerbench-coarse.toml";
    const auto with_bits = [&](const std::string& bits) {
        std::string text = read.str();
        text.replace(text.find("bits = 24"), 9, "bits = " + bits);
        std::ofstream(path) << text;
        return ask({"weigh", path.string()});
    };
    const Answer coarse = with_bits("12");
    CHECK(coarse.code == 3);
    CHECK(coarse.complains("bits = 12"));
    CHECK(coarse.complains("0.088 codes"));
    const std::size_t valid = coarse.err.find("valid: bits = ");
    REQUIRE(valid != std::string::npos);
    const int bits = std::stoi(coarse.err.substr(valid + 14));
    CHECK(with_bits(std::to_string(bits)).code == 0);
    std::filesystem::remove(path);
}

TEST_CASE("the README's session runs as it stands there", "[cli]") {
    std::ifstream file(root + "/README.md");
    std::string text;
    bool inside = false;
    for (std::string line; std::getline(file, line);) {
        inside = line.starts_with("    name = \"A terminal comes loose\"") ||
                 (inside && (line.empty() || line.starts_with("    ")));
        if (inside && !line.empty()) text += line.substr(4) + '\n';
    }
    CHECK(text.find("do = \"cause\"") != std::string::npos);
    // A vehicle that goes by its name is looked for beside the session.
    const std::filesystem::path folder = std::filesystem::temp_directory_path() / "cornerbench-readme";
    std::filesystem::remove_all(folder);
    std::filesystem::create_directory(folder);
    std::filesystem::copy(root + "/configs/vehicles", folder / "vehicles");
    const std::string path = (folder / "session.toml").string();
    std::ofstream(path) << text;
    const Answer answer = ask({"weigh", scale, "--session", path});
    INFO(answer.err);
    CHECK(answer.code == 0);
    std::filesystem::remove_all(folder);
}
