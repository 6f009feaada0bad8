#include <sys/wait.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>
#include <sstream>
#include <string>
#include <vector>

namespace {

const std::string prompt = "    $ build/release/cornerbench ";

std::vector<std::string> readme_lines() {
    std::ifstream file(std::string(CORNERBENCH_SOURCE_DIR) + "/README.md");
    std::vector<std::string> lines;
    for (std::string line; std::getline(file, line);) lines.push_back(line);
    return lines;
}

/// Lines of the README that call the program, as a reader would copy them.
std::vector<std::string> called_lines() {
    const std::string program = "    build/release/cornerbench ";
    std::vector<std::string> lines;
    for (std::string line : readme_lines()) {
        if (line.rfind("    $ ", 0) == 0) line.erase(4, 2);
        if (line.rfind(program, 0) == 0) lines.push_back(line.substr(program.size()));
    }
    return lines;
}

/// A call behind a prompt, and the output that the README shows below it.
struct Shown {
    std::string call;
    std::string output;
};

std::vector<Shown> shown_outputs() {
    std::vector<Shown> all;
    bool inside = false;
    std::string blanks;
    for (const std::string& line : readme_lines()) {
        if (line.rfind(prompt, 0) == 0) {
            all.push_back({line.substr(prompt.size()), ""});
            inside = true;
            blanks.clear();
        } else if (line.empty()) {
            blanks += "\n";
        } else if (inside && line.rfind("    ", 0) == 0) {
            all.back().output += blanks + line.substr(4) + "\n";
            blanks.clear();
        } else {
            inside = false;
        }
    }
    return all;
}

std::string output_of(const std::string& call) {
    const std::string command = "cd '" CORNERBENCH_SOURCE_DIR "' && '" CORNERBENCH_PROGRAM "' " + call;
    const std::unique_ptr<std::FILE, int (*)(std::FILE*)> pipe(popen(command.c_str(), "r"), &pclose);
    REQUIRE(pipe);
    std::string out;
    char part[4096];
    for (std::size_t read = 0; (read = std::fread(part, 1, sizeof part, pipe.get())) > 0;) {
        out.append(part, read);
    }
    return out;
}

std::string text_of(const std::string& path) {
    std::ifstream file(path);
    REQUIRE(file);
    return {std::istreambuf_iterator<char>(file), {}};
}

std::vector<std::string> lines_of(const std::string& text) {
    std::istringstream stream(text);
    std::vector<std::string> lines;
    for (std::string line; std::getline(stream, line);) lines.push_back(line);
    return lines;
}

/// Every line in which the two differ, one below the other; empty when they are the same.
std::string difference(const std::string& readme, const std::string& program) {
    const auto shown = lines_of(readme);
    const auto printed = lines_of(program);
    std::string out;
    for (std::size_t i = 0; i < std::max(shown.size(), printed.size()); ++i) {
        const std::string ours = i < shown.size() ? "|" + shown[i] + "|" : "(ends)";
        const std::string theirs = i < printed.size() ? "|" + printed[i] + "|" : "(ends)";
        if (ours == theirs) continue;
        out += "line " + std::to_string(i + 1) + "\n  README   " + ours + "\n  program  " + theirs + "\n";
    }
    if (out.empty() && readme != program) out = "the last line's end\n";
    return out;
}

}  // namespace

TEST_CASE("what the README tells to run runs", "[cli][long]") {
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

TEST_CASE("what the README shows is what the program prints, byte by byte", "[cli]") {
    const auto all = shown_outputs();
    REQUIRE_FALSE(all.empty());
    for (const Shown& shown : all) {
        REQUIRE_FALSE(shown.output.empty());
        const std::string changed = difference(shown.output, output_of(shown.call));
        INFO("the README shows another output below '$ ... " << shown.call << "':\n" << changed);
        CHECK(changed.empty());
    }
}

TEST_CASE("the README's pictures are what its commands draw, byte by byte", "[cli]") {
    const std::string source = CORNERBENCH_SOURCE_DIR "/";
    const std::string folder = "(sim/report/pictures/";
    int pictures = 0;
    for (const std::string& line : readme_lines()) {
        const std::size_t at = line.find(folder);
        if (line.rfind("![", 0) != 0 || at == std::string::npos) continue;
        ++pictures;
        const std::string path = line.substr(at + 1, line.find(')', at) - at - 1);
        const std::string drawn = "build/" + path.substr(folder.size() - 1);
        INFO(path << " of the command that draws " << drawn);
        const auto lines = called_lines();
        const auto draws = [&](const std::string& call) {
            return call.find("--svg " + drawn) != std::string::npos;
        };
        const auto call = std::find_if(lines.begin(), lines.end(), draws);
        REQUIRE(call != lines.end());
        // Not into `build`, where another test may be drawing it.
        const std::string here = (std::filesystem::temp_directory_path() / "cornerbench-readme.svg").string();
        std::string draws_here = *call;
        draws_here.replace(draws_here.find(drawn), drawn.size(), "'" + here + "'");
        std::filesystem::remove(here);
        output_of(draws_here);
        CHECK(text_of(source + path) == text_of(here));
        std::filesystem::remove(here);
    }
    CHECK(pictures >= 3);
}

TEST_CASE("a difference between README and program is shown line by line", "[cli]") {
    CHECK(difference("a\nb\n", "a\nb\n").empty());
    CHECK(difference("a\nb\n", "a\nc\n") == "line 2\n  README   |b|\n  program  |c|\n");
    CHECK(difference("a\n", "a\nc\n") == "line 2\n  README   (ends)\n  program  |c|\n");
    CHECK_FALSE(difference("a\n", "a").empty());
}
