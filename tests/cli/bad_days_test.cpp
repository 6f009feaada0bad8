#include <catch2/catch.hpp>

#include <unistd.h>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "tests/cli/command_line.h"

using namespace cornerbench::cli;

namespace {

std::string temporary(const std::string& name) {
    return (std::filesystem::temp_directory_path() / (std::to_string(::getpid()) + "-" + name)).string();
}

}  // namespace

TEST_CASE("bad-days says how many days it spent and that none showed a wrong weight", "[cli]") {
    const Answer answer = ask({"bad-days", config("scales/quarry-8.toml"), "--runs", "40"});
    CHECK(answer.code == 0);
    CHECK(answer.err.empty());
    CHECK(answer.says("0 of 40 days had a wrong weight that was shown as right."));
    std::istringstream lines(answer.out);
    for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
    const auto document = ask({"bad-days", config("scales/quarry-8.toml"), "--runs", "40", "--json"}).json();
    CHECK(document["schema"] == 1);
    CHECK(document["tally"]["days"] == 40);
    CHECK(document["tally"]["wrong"] == 0);
    CHECK(document["scales"] == nlohmann::json({"quarry-8", "quarry-8-per-cell"}));
}

TEST_CASE("parts of bad days are merged to the bytes of the whole", "[cli]") {
    const auto days = [](std::vector<std::string> more) {
        more.insert(more.begin(), {"bad-days", config("scales/sawmill-4.toml"), config("scales/depot-6.toml"),
                                   "--runs", "21", "--seed", "70", "--force"});
        return ask(more);
    };
    const std::string first = temporary("bad-1.json");
    const std::string second = temporary("bad-2.json");
    CHECK(days({"--shard", "1/2", "--outcomes", first}).code == 0);
    CHECK(days({"--shard", "2/2", "--outcomes", second}).code == 0);
    CHECK(ask({"merge", second, first}).out == days({}).out);
    CHECK(ask({"merge", first}).code == 3);
    CHECK(ask({"merge", first}).complains("part 2 of 2 is missing"));
    CHECK(ask({"merge", first, "--svg", "x.svg", second}).code == 2);
    CHECK(days({"--shard", "1/2"}).complains("--shard needs --outcomes"));
    CHECK(days({"--shard", "1/22", "--outcomes", first}).complains("the 21 runs of the whole"));
    std::ofstream(second) << "{\"kind\": \"bad-days\"}";
    CHECK(ask({"merge", second}).code == 3);
    std::filesystem::remove(first);
    std::filesystem::remove(second);
}

TEST_CASE("bad-days tells one day again, and its recording replays", "[cli]") {
    const std::string recording = temporary("bad.recording");
    const Answer told = ask({"bad-days", config("scales/quarry-8.toml"), "--case", "quarry-8-per-cell:12"});
    CHECK(told.code == 0);
    CHECK(told.says("the scale is calibrated and empty"));
    CHECK(told.says("none of them wrong and shown as right"));
    CHECK(ask({"bad-days", config("scales/quarry-8.toml"), "--case", "quarry-8-per-cell:12", "--record",
               recording, "--force"})
              .complains("the box of quarry-8-per-cell was changed"));
    const Answer summed = ask({"bad-days", config("scales/quarry-8.toml"), "--case", "quarry-8:12",
                               "--record", recording, "--force"});
    CHECK(summed.code == 0);
    CHECK(ask({"replay", recording}).code == 0);
    std::filesystem::remove(recording);
    CHECK(ask({"bad-days", config("scales/quarry-8.toml"), "--case", "quarry-9:12"}).code == 2);
    CHECK(ask({"bad-days", config("scales/quarry-8.toml"), "--case", "quarry-8:x"})
              .complains("valid: SCALE:SEED"));
    CHECK(ask({"bad-days", config("scales/quarry-8.toml"), "--record", recording}).complains("needs --case"));
    CHECK(ask({"bad-days"}).code == 2);
    CHECK(ask({"bad-days", config("scales/quarry-8.toml"), "--runs", "0"}).code == 2);
}
