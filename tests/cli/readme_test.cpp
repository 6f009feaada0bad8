#include <sys/wait.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <fstream>
#include <string>
#include <vector>

namespace {

/// Lines of the README that call the program, as a reader would copy them.
std::vector<std::string> called_lines() {
    const std::string program = "    build/release/cornerbench ";
    std::ifstream file(std::string(CORNERBENCH_SOURCE_DIR) + "/README.md");
    std::vector<std::string> lines;
    for (std::string line; std::getline(file, line);) {
        if (line.rfind("    $ ", 0) == 0) line.erase(4, 2);
        if (line.rfind(program, 0) == 0) lines.push_back(line.substr(program.size()));
    }
    return lines;
}

}  // namespace

TEST_CASE("what the README tells to run runs", "[cli]") {
    const auto lines = called_lines();
    REQUIRE(lines.size() >= 8);
    for (const std::string& line : lines) {
        INFO(line);
        const std::string command =
            "cd '" CORNERBENCH_SOURCE_DIR "' && '" CORNERBENCH_PROGRAM "' " + line + " >/dev/null";
        const int status = std::system(command.c_str());
        REQUIRE(WIFEXITED(status));
        // A corner test of a faulty scale answers no.
        CHECK((WEXITSTATUS(status) == 0 || WEXITSTATUS(status) == 1));
    }
}
