#include <sys/wait.h>

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

const std::vector<std::string> commands{"diagnose", "trim",  "corners", "causes",
                                        "trial",    "sheet", "keys",    "exit-codes"};

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
    std::filesystem::remove(path);
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
