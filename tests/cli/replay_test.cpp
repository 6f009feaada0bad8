#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

#include "tests/cli/command_line.h"

using namespace cornerbench::cli;

namespace {

const std::string scale = config("scales/quarry-8.toml");

/// A file in the folder for temporary ones, gone at the end.
class TemporaryFile {
  public:
    explicit TemporaryFile(const std::string& name)
        : path_(std::filesystem::temp_directory_path() / ("cornerbench-" + name)) {}
    ~TemporaryFile() {
        std::error_code ignored;
        std::filesystem::remove(path_, ignored);
    }
    TemporaryFile(const TemporaryFile&) = delete;
    TemporaryFile& operator=(const TemporaryFile&) = delete;

    std::string path() const { return path_.string(); }
    std::string text() const {
        std::ifstream file(path_, std::ios::binary);
        std::stringstream text;
        text << file.rdbuf();
        return text.str();
    }
    void write(const std::string& text) const { std::ofstream(path_, std::ios::binary) << text; }

  private:
    std::filesystem::path path_;
};

}  // namespace

TEST_CASE("weigh --record writes what replay repeats, with the hash that weigh prints", "[cli]") {
    const TemporaryFile file("replay-test.recording");
    const Answer weighed = ask({"weigh", scale, "--seed", "9", "--json", "--record", file.path(), "--force"});
    REQUIRE(weighed.code == 0);
    const Answer replayed = ask({"replay", file.path()});
    CHECK(replayed.code == 0);
    CHECK(replayed.err.empty());
    CHECK(replayed.says("No difference"));
    CHECK(replayed.says("Quarry weighbridge"));
    CHECK(replayed.says("seed 9"));
    CHECK(replayed.says(weighed.json()["state_hash"].get<std::string>()));
    std::istringstream lines(replayed.out);
    for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
    const auto document = ask({"replay", file.path(), "--json"}).json();
    CHECK(document["schema"] == 1);
    CHECK(document["verdict"] == "no difference");
    CHECK(document["state_hash"] == weighed.json()["state_hash"]);
    CHECK(document["recorded_state_hash"] == weighed.json()["state_hash"]);
    CHECK(document["power_ons"] == 1);
    CHECK(document["difference"].is_null());
}

TEST_CASE("replay with another scale's settings answers 1 and says what was and what is", "[cli]") {
    const TemporaryFile file("replay-other.recording");
    const TemporaryFile other("replay-other.toml");
    REQUIRE(ask({"weigh", scale, "--record", file.path(), "--force"}).code == 0);
    std::ifstream whole(scale);
    std::stringstream text;
    text << whole.rdbuf();
    std::string changed = text.str();
    changed.replace(changed.find("division = 20"), 13, "division = 50");
    other.write(changed);
    const Answer answer = ask({"replay", file.path(), "--scale", other.path()});
    CHECK(answer.code == 1);
    CHECK(answer.says("First difference"));
    CHECK(answer.says("recorded  Panel::show"));
    CHECK(answer.says("now       Panel::show"));
    CHECK(answer.says("Before it, as recorded"));
    const Answer json = ask({"replay", file.path(), "--scale", other.path(), "--json"});
    CHECK(json.code == 1);
    CHECK(json.json()["verdict"] == "difference");
    CHECK(json.json()["difference"]["recorded"] != json.json()["difference"]["now"]);
    CHECK(json.json()["difference"]["before"].size() == 8);
}

TEST_CASE("a recording that was changed or cut is answered with its line and 3", "[cli]") {
    const TemporaryFile file("replay-damaged.recording");
    REQUIRE(ask({"weigh", scale, "--record", file.path(), "--force"}).code == 0);
    const std::string good = file.text();

    std::string changed = good;
    const std::size_t place = good.find("\nT ") + 1;
    changed[place] = 'X';
    const auto line = 1 + std::count(good.begin(), good.begin() + static_cast<long>(place), '\n');
    file.write(changed);
    const Answer damaged = ask({"replay", file.path()});
    CHECK(damaged.code == 3);
    CHECK(damaged.out.empty());
    CHECK(damaged.complains(file.path() + ":" + std::to_string(line) + ": this line was changed"));

    file.write(good.substr(0, good.size() / 2));
    const Answer cut = ask({"replay", file.path()});
    CHECK(cut.code == 3);
    CHECK(cut.complains("stops here"));
    CHECK(cut.complains("without a difference until then"));

    file.write(good + good);
    const Answer doubled = ask({"replay", file.path()});
    CHECK(doubled.code == 3);
    CHECK(doubled.out.empty());
    const auto lines = std::count(good.begin(), good.end(), '\n');
    CHECK(doubled.complains(file.path() + ":" + std::to_string(lines + 1) +
                            ": the recording ended in the line before"));

    std::string windows;
    for (const char c : good) windows += c == '\n' ? std::string("\r\n") : std::string(1, c);
    file.write(windows);
    const Answer changed_ends = ask({"replay", file.path()});
    CHECK(changed_ends.code == 3);
    CHECK(changed_ends.complains(":1: this line ends in CR LF"));

    file.write("name = \"a scale\"\n");
    CHECK(ask({"replay", file.path()}).complains(":1: is no recording"));
    CHECK(ask({"replay", file.path()}).code == 3);
    file.write("");
    CHECK(ask({"replay", file.path()}).code == 3);
}

TEST_CASE("a recording without a scale file needs --scale", "[cli]") {
    const TemporaryFile file("replay-bare.recording");
    // The example of hal/recorded/FORMAT.md: from a board, without notes.
    std::ifstream page(std::string(CORNERBENCH_SOURCE_DIR) + "/hal/recorded/FORMAT.md");
    std::stringstream text;
    text << page.rdbuf();
    const std::string all = text.str();
    const std::size_t start = all.find("```\ncornerbench recording") + 4;
    file.write(all.substr(start, all.find("```", start) - start));
    const Answer bare = ask({"replay", file.path()});
    CHECK(bare.code == 3);
    CHECK(bare.complains("--scale"));
    // Another firmware made it, so it differs at once.
    CHECK(ask({"replay", file.path(), "--scale", scale}).code == 1);
}

TEST_CASE("recordings that cannot be read or written are the host's refusal", "[cli]") {
    CHECK(ask({"replay", "/nowhere/x.recording"}).code == 4);
    CHECK(ask({"replay", config("scales")}).code == 4);
    CHECK(ask({"replay"}).code == 2);
    CHECK(ask({"weigh", scale, "--record", "/nowhere/x.recording"}).code == 4);
    if (std::filesystem::exists("/dev/full")) CHECK(ask({"weigh", scale, "--record", "/dev/full"}).code == 4);
}
