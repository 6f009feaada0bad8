#include <catch2/catch.hpp>
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
