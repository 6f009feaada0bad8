#include <sys/wait.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "sim/cli/exit_codes.h"
#include "tests/cli/command_line.h"

using namespace cornerbench::cli;

namespace {

/// Exit status of the built program with this shell line behind its name.
int status_of(const std::string& line) {
    const int status = std::system((std::string(CORNERBENCH_PROGRAM) + " " + line).c_str());
    REQUIRE(WIFEXITED(status));
    return WEXITSTATUS(status);
}

bool has_colour(const std::string& text) {
    return text.find('\x1b') != std::string::npos;
}

const std::vector<std::string> commands{"diagnose",   "trim",   "corners", "causes",   "trial",  "sheet",
                                        "weigh",      "replay", "live",    "settings", "keys",   "exit-codes",
                                        "power-cuts", "check",  "wire",    "plan",     "survey", "report",
                                        "bad-days",   "page",   "atlas",   "drill"};

}  // namespace

TEST_CASE("help and version answer on standard output with 0", "[cli]") {
    CHECK(ask({"--help"}).code == 0);
    CHECK(ask({"--help"}).says("Exit codes"));
    CHECK(ask({"--version"}).out.find("cornerbench ") == 0);
    for (const std::string& command : commands) {
        INFO(command);
        const Answer help = ask({command, "--help"});
        CHECK(help.code == 0);
        CHECK(help.err.empty());
        CHECK(help.says("Example:\n  cornerbench " + command));
        std::istringstream lines(help.out);
        for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
    }
}

TEST_CASE("a line that makes no sense is usage, and its nearest meaning is named", "[cli]") {
    CHECK(ask({}).code == 2);
    CHECK(ask({}).complains("a command is missing"));
    CHECK(ask({"corner", "x.toml"}).code == 2);
    CHECK(ask({"corner", "x.toml"}).complains("nearest: corners"));
    CHECK(ask({"corners"}).code == 2);
    CHECK(ask({"corners", config("scales/quarry-8.toml"), "--mas", "5"}).code == 2);
    CHECK(ask({"corners", config("scales/quarry-8.toml"), "--stage", "never"}).code == 2);
    CHECK(ask({"corners", config("scales/quarry-8.toml"), "--mass", "-5"})
              .complains("valid: 20 kg to 60 000 kg"));
    CHECK(ask({"corners", config("scales/quarry-8.toml"), "--mass", "nan"}).code == 2);
    CHECK(ask({"corners", config("scales/quarry-8.toml"), "--with", "loose-terminl cell=1"}).code == 2);
    CHECK(ask({"causes", "rubing"}).code == 2);
    CHECK(ask({"causes", "rubing"}).complains("nearest: rubbing"));
    CHECK(ask({"trial", config("scales/quarry-8.toml"), "--sheets", "0"}).code == 2);
}

TEST_CASE("a word that nothing is near is answered with all that are valid", "[cli]") {
    CHECK(ask({"qqqq"}).complains("there is no command 'qqqq'; one of: diagnose, trim"));
    CHECK(ask({"causes", "qqqq"}).complains("there is no cause 'qqqq'; one of: healthy, upside-down"));
    const std::string scale = config("scales/quarry-8.toml");
    CHECK(ask({"corners", scale, "--with", "loose-terminal cell=5 wire=S+ ohms=38"})
              .complains("loose-terminal has no 'ohms'; it takes cell, wire, ohm"));
}

TEST_CASE("what is on no list cannot be put into a scale", "[cli]") {
    const std::string scale = config("scales/quarry-8.toml");
    for (const char* command : {"corners", "sheet"}) {
        const Answer answer = ask({command, scale, "--with", "unlisted"});
        CHECK(answer.code == 2);
        CHECK(answer.out.empty());
        CHECK(answer.complains("what is on no list cannot be computed"));
        CHECK(ask({command, scale, "--with", "healthy"}).code == 0);
    }
}

TEST_CASE("help shows how causes are given, one to each --with", "[cli]") {
    const std::string scale = config("scales/quarry-8.toml");
    for (const char* command : {"corners", "sheet"}) {
        const Answer help = ask({command, "--help"});
        CHECK(help.says("--with TEXT"));
        CHECK_FALSE(help.says("--with TEXT ..."));
        const std::string one = "weak-output cell=1 ratio=0.99";
        const std::string two = "weak-output cell=2 ratio=0.99";
        CHECK(ask({command, scale, "--json", "--with", one, "--with", two}).json()["faults"].size() == 2);
        const Answer together = ask({command, scale, "--with", one, two});
        CHECK(together.code == 2);
        CHECK(together.complains("every further cause takes its own --with"));
    }
}

TEST_CASE("a seed is a whole number from 0", "[cli]") {
    const std::string scale = config("scales/sawmill-4.toml");
    for (const char* seed : {"-1", "1.5", "+3", "two", "18446744073709551616"}) {
        INFO(seed);
        CHECK(ask({"sheet", scale, "--seed", seed}).code == 2);
        CHECK(ask({"trial", scale, "--sheets", "1", "--seed", seed}).code == 2);
    }
    CHECK(ask({"sheet", scale, "--seed", "-1"}).complains("whole number"));
    CHECK(ask({"sheet", scale, "--seed", "0"}).code == 0);
    CHECK(ask({"sheet", scale, "--seed", "18446744073709551615"}).code == 0);
}

TEST_CASE("the keys of every file are listed", "[cli]") {
    CHECK(ask({"keys", "vehicle"}).says("spacing_m: behind the axle before it"));
    CHECK(ask({"keys", "priors"}).says("[causes]"));
    for (const char* file :
         {"scale", "sheet", "vehicle", "priors", "standard", "cell-standard", "test-sheet"}) {
        const auto document = ask({"keys", file, "--json"}).json();
        CHECK(document["schema"] == 1);
        CHECK(document["file"] == file);
        CHECK(document["keys"].size() >= 5);
        for (const auto& key : document["keys"]) CHECK_FALSE(key["meaning"].get<std::string>().empty());
    }
    CHECK(ask({"keys", "causes"}).code == 2);
}

TEST_CASE("files that cannot be, and files that are not there, end differently", "[cli]") {
    CHECK(ask({"corners", "/nowhere/x.toml"}).code == 4);
    CHECK(ask({"diagnose", "/nowhere/x.toml"}).code == 4);
    CHECK(ask({"corners", config("scales")}).code == 4);
    const auto path = std::filesystem::temp_directory_path() / "cornerbench-usage-test.toml";
    std::ofstream(path) << "unit = \"kg\"\nmax = -1\n";
    const Answer bad = ask({"corners", path.string()});
    CHECK(bad.code == 3);
    CHECK(bad.complains("cornerbench-usage-test.toml:2"));
    CHECK(bad.out.empty());
    // A sheet that is wrong and names a vehicle that is not there: the sheet has to be mended in any case.
    const std::string weight =
        "[[reading]]\nwhat = \"weight\"\nload = { vehicle = \"bicycle\", position = 1 }\n";
    const std::string scale = "scale = \"" + config("scales/quarry-8.toml") + "\"\n";
    std::ofstream(path) << scale << weight << "value = \"much\"\n";
    CHECK(ask({"diagnose", path.string()}).code == 3);
    std::ofstream(path) << scale << weight << "value = 0\n";
    CHECK(ask({"diagnose", path.string()}).code == 4);
    std::filesystem::remove(path);
    const Answer another = ask({"diagnose", config("scales/quarry-8.toml")});
    CHECK(another.code == 3);
    CHECK(another.complains("makes this a scale file: must be a sheet of readings"));
    CHECK(std::count(another.err.begin(), another.err.end(), '\n') == 1);
    CHECK(ask({"sheet", config("scales/quarry-8.toml"), "-o", "/nowhere/sheet.toml"}).code == 4);
}

TEST_CASE("with --json even a failure is one document", "[cli]") {
    for (const auto& line : std::vector<std::vector<std::string>>{{"--json", "corner"},
                                                                  {"corners", "/nowhere/x.toml", "--json"},
                                                                  {"causes", "rubing", "--json"},
                                                                  {"--json"}}) {
        const Answer answer = ask(line);
        REQUIRE_FALSE(answer.out.empty());
        const auto document = answer.json();
        CHECK(document["schema"] == 1);
        CHECK(document["error"]["code"] == answer.code);
        CHECK_FALSE(document["error"]["message"].get<std::string>().empty());
    }
}

TEST_CASE("the exit codes are a table that prints itself", "[cli]") {
    const auto document = ask({"exit-codes", "--json"}).json();
    REQUIRE(document["exit_codes"].size() == exit_meanings.size());
    for (std::size_t i = 0; i < exit_meanings.size(); ++i) {
        CHECK(static_cast<std::size_t>(exit_meanings[i].code) == i);
        CHECK(document["exit_codes"][i]["code"] == i);
        CHECK(document["exit_codes"][i]["name"] == std::string(exit_meanings[i].name));
        CHECK(ask({"exit-codes"}).says(std::string(exit_meanings[i].text)));
    }
}

TEST_CASE("colours are for terminals that want them", "[cli]") {
    const std::vector<std::string> line{"causes", "rubbing"};
    unsetenv("NO_COLOR");
    setenv("TERM", "xterm", 1);
    CHECK_FALSE(has_colour(ask(line).out));
    CHECK(has_colour(ask(line, true).out));
    CHECK_FALSE(has_colour(ask({"causes", "rubbing", "--no-colour"}, true).out));
    CHECK_FALSE(has_colour(ask({"causes", "rubbing", "--json"}, true).out));
    setenv("NO_COLOR", "1", 1);
    CHECK_FALSE(has_colour(ask(line, true).out));
    unsetenv("NO_COLOR");
    setenv("TERM", "dumb", 1);
    CHECK_FALSE(has_colour(ask(line, true).out));
}

TEST_CASE("the built program ends with these codes", "[cli]") {
    const std::string scale = config("scales/quarry-8.toml");
    CHECK(status_of("corners " + scale + " >/dev/null") == 0);
    CHECK(status_of("corners " + scale + " --with 'upside-down cell=3' >/dev/null") == 1);
    CHECK(status_of("corner >/dev/null 2>&1") == 2);
    CHECK(status_of("diagnose " + scale + " >/dev/null 2>&1") == 3);
    CHECK(status_of("corners /nowhere >/dev/null 2>&1") == 4);
    // A full disk: the kernel's own stand-in for one.
    if (std::filesystem::exists("/dev/full")) CHECK(status_of("causes >/dev/full 2>/dev/null") == 4);
}
