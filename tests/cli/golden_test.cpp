#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "tests/cli/command_line.h"

using namespace cornerbench::cli;

namespace fs = std::filesystem;

namespace {

std::string text_of(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

TEST_CASE("the command that makes the golden traces makes these", "[cli]") {
    // One seed is one run: whatever differs was made by another program.
    const fs::path golden = fs::path(CORNERBENCH_SOURCE_DIR) / "hal" / "golden";
    const fs::path made = fs::temp_directory_path() / "cornerbench-golden-test";
    fs::remove_all(made);
    fs::create_directories(made);
    const std::string command = "cd '" CORNERBENCH_SOURCE_DIR "' && hal/golden/make '" CORNERBENCH_PROGRAM
                                "' '" +
                                made.string() + "'";
    REQUIRE(std::system(command.c_str()) == 0);
    int compared = 0;
    for (const auto& entry : fs::directory_iterator(made)) {
        CAPTURE(entry.path().filename().string());
        // Not by a comparison that would print all of it.
        const bool same = text_of(entry.path()) == text_of(golden / entry.path().filename());
        CHECK(same);
        ++compared;
    }
    CHECK(compared >= 21);
    fs::remove_all(made);
}

TEST_CASE("a replay writes the trace that it was asked for", "[cli]") {
    const std::string golden = std::string(CORNERBENCH_SOURCE_DIR) + "/hal/golden/healthy";
    const fs::path trace = fs::temp_directory_path() / "cornerbench-replay-test.trace";
    CHECK(
        ask({"replay", golden + ".recording", "--trace", trace.string(), "--every", "50", "--force"}).code ==
        0);
    CHECK((text_of(trace) == text_of(golden + ".trace")));
    CHECK(ask({"replay", golden + ".recording", "--trace", trace.string(), "--every", "0"}).code == 2);
    CHECK(ask({"replay", golden + ".recording", "--trace", "/nowhere/at/all"}).code == 4);
    CHECK(ask({"replay", golden + ".recording", "--every", "50"}).complains("needs --trace"));
    fs::remove(trace);
}
