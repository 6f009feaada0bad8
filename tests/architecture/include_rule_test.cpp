#include "tests/architecture/include_rule.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "tests/architecture/docstring_rule.h"

namespace {

using namespace cornerbench::architecture;
namespace fs = std::filesystem;

const fs::path root = CORNERBENCH_SOURCE_DIR;

constexpr int longest_file_lines = 400;

/// Files that may be longer, each with its reason.
const std::map<std::string, std::string> long_files_with_reason{};

/// Beside these, names that begin with a dot.
const std::vector<std::string> top_level{
    "CMakeLists.txt", "CMakePresets.json", "DEVELOPERS.md", "LICENSE", "README.md",
    "configs",        "firmware",          "hal",           "sim",     "tests"};

/// Not part of the repository: git ignores them.
const std::vector<std::string> made_here{"build", "CMakeUserPresets.json"};

bool is_code(const std::string& path) {
    const std::string extension = fs::path(path).extension().string();
    return is_among(extension, std::vector<std::string>{".h", ".hpp", ".cpp", ".cc", ".c", ".inc"});
}

bool is_source(const std::string& path) {
    const std::string extension = fs::path(path).extension().string();
    return is_code(path) || fs::path(path).filename() == "CMakeLists.txt" ||
           is_among(extension,
                    std::vector<std::string>{".cmake", ".sh", ".js", ".html", ".css", ".ld", ".S"});
}

/// Every file below `folders`, from the root of the repository.
std::vector<std::string> files_below(const std::vector<std::string>& folders) {
    std::vector<std::string> found;
    for (const std::string& folder : folders) {
        if (!fs::exists(root / folder)) continue;
        for (const auto& entry : fs::recursive_directory_iterator(root / folder))
            if (entry.is_regular_file()) found.push_back(fs::relative(entry.path(), root).generic_string());
    }
    std::sort(found.begin(), found.end());
    return found;
}

std::string text_of(const std::string& path) {
    std::ifstream stream(root / path, std::ios::binary);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

const std::vector<std::string> code_below{"firmware", "hal", "sim", "tests"};

/// Why `file` may not hold this line; empty when it may.
std::string objection_to(std::string_view file, std::string_view line) {
    const std::vector<Include> includes = includes_of(line);
    REQUIRE(includes.size() == 1);
    return objection(file, includes.front());
}

}  // namespace

TEST_CASE("includes go only where the layering lets them", "[architecture]") {
    const std::vector<std::string> files = files_below(code_below);
    REQUIRE(is_among("firmware/scale/units.h", files));
    std::string objections;
    for (const std::string& file : files) {
        if (!is_code(file)) continue;
        for (const Include& include : includes_of(text_of(file))) {
            std::string why = objection(file, include);
            if (why.empty() && !include.angled && !fs::exists(root / include.target)) why = "no such file";
            if (!why.empty())
                objections +=
                    file + ":" + std::to_string(include.line) + ": " + include.target + ": " + why + "\n";
        }
    }
    INFO(objections);
    CHECK(objections.empty());
}

TEST_CASE("no file outgrows a reader", "[architecture]") {
    std::string objections;
    for (const std::string& file : files_below(code_below)) {
        if (!is_source(file)) continue;
        const std::string text = text_of(file);
        const auto lines = std::count(text.begin(), text.end(), '\n');
        const bool excused = long_files_with_reason.contains(file);
        if (lines > longest_file_lines && !excused)
            objections += file + " has " + std::to_string(lines) + " lines, more than " +
                          std::to_string(longest_file_lines) + ": split it by what it does\n";
        if (lines <= longest_file_lines && excused) objections += file + " is short now: drop its excuse\n";
    }
    for (const auto& [file, reason] : long_files_with_reason)
        if (!fs::exists(root / file)) objections += file + " is gone: drop its excuse\n";
    INFO(objections);
    CHECK(objections.empty());
}

TEST_CASE("every name says what it holds", "[architecture]") {
    std::string objections;
    for (const std::string& file : files_below({"firmware", "hal", "sim", "tests", "configs", ".ci"})) {
        const std::string why = name_objection(file);
        if (!why.empty()) objections += file + ": " + why + "\n";
    }
    INFO(objections);
    CHECK(objections.empty());
}

TEST_CASE("the top level shows the parts and nothing else", "[architecture]") {
    std::string strangers;
    for (const auto& entry : fs::directory_iterator(root)) {
        const std::string name = entry.path().filename().string();
        if (!name.starts_with('.') && !is_among(name, top_level) && !is_among(name, made_here))
            strangers += name + "\n";
    }
    INFO(strangers);
    CHECK(strangers.empty());
}

TEST_CASE("every type of a header says what it is for", "[architecture]") {
    std::string objections;
    for (const std::string& file : files_below({"firmware", "hal", "sim"})) {
        if (!file.ends_with(".h")) continue;
        for (const BareType& type : undocumented_types(text_of(file)))
            objections += file + ":" + std::to_string(type.line) + ": " + type.text +
                          " has no line of /// directly above it\n";
    }
    INFO(objections);
    CHECK(objections.empty());
}

TEST_CASE("made-up breaches of the layering are refused", "[architecture]") {
    // Upwards inside the core, and to a part that has no place in it.
    CHECK_FALSE(objection_to("firmware/scale/a.h", "#include \"firmware/mechanics/deck.h\"").empty());
    CHECK_FALSE(objection_to("firmware/numbers/a.h", "#include \"firmware/scale/units.h\"").empty());
    CHECK_FALSE(objection_to("firmware/circuit/a.cpp", "#include \"firmware/weighing/filter.h\"").empty());
    CHECK_FALSE(objection_to("firmware/weighing/a.cpp", "#include \"firmware/diagnosis/reading.h\"").empty());
    CHECK_FALSE(objection_to("firmware/diagnosis/a.cpp", "#include \"firmware/storage/record.h\"").empty());
    CHECK_FALSE(objection_to("firmware/storage/a.cpp", "#include \"firmware/console/line.h\"").empty());
    CHECK_FALSE(objection_to("firmware/console/a.cpp", "#include \"firmware/indicator.h\"").empty());
    CHECK_FALSE(objection_to("firmware/extras/a.cpp", "#include \"firmware/scale/units.h\"").empty());
    CHECK_FALSE(objection_to("firmware/scale/a.cpp", "#include \"firmware/extras/a.h\"").empty());

    // Upwards inside the host's part.
    CHECK_FALSE(objection_to("sim/virtual_scale/a.cpp", "#include \"sim/report/table.h\"").empty());
    CHECK_FALSE(objection_to("sim/files/a.cpp", "#include \"sim/world/world.h\"").empty());
    CHECK_FALSE(objection_to("sim/report/a.cpp", "#include \"sim/extras/a.h\"").empty());
    CHECK(objection_to("sim/report/a.cpp", "#include \"sim/virtual_scale/session_record.h\"").empty());

    // Out of the core, the ports and the tests.
    CHECK_FALSE(objection_to("firmware/scale/a.cpp", "#include \"sim/files/load.h\"").empty());
    CHECK_FALSE(objection_to("firmware/scale/a.cpp", "#include \"hal/simulated/clock.h\"").empty());
    CHECK_FALSE(objection_to("hal/clock.h", "#include \"firmware/scale/units.h\"").empty());
    CHECK_FALSE(objection_to("hal/clock.h", "#include \"hal/simulated/clock.h\"").empty());
    CHECK_FALSE(objection_to("hal/simulated/clock.cpp", "#include \"sim/world/world.h\"").empty());
    CHECK_FALSE(objection_to("sim/world/a.cpp", "#include \"tests/world/deck_test.h\"").empty());

    // Heap, streams, operating system and other people's code in the core.
    for (const char* header : {"vector", "string", "iostream", "memory", "functional", "map", "cstdio",
                               "thread", "stdexcept", "chrono", "math.h", "Eigen/Dense"}) {
        INFO(header);
        CHECK_FALSE(objection_to("firmware/scale/a.h", "#include <" + std::string(header) + ">").empty());
        CHECK_FALSE(objection_to("hal/clock.h", "#include <" + std::string(header) + ">").empty());
    }

    // Not from the root.
    CHECK_FALSE(objection_to("firmware/scale/a.cpp", "#include \"units.h\"").empty());
    CHECK_FALSE(objection_to("sim/files/a.cpp", "#include \"../files/load.h\"").empty());
    CHECK_FALSE(objection_to("sim/files/a.cpp", "#include \"sim/../firmware/scale/units.h\"").empty());
    CHECK_FALSE(objection_to("sim/files/a.cpp", "#include <firmware/scale/units.h>").empty());
    CHECK_FALSE(objection_to("sim/files/a.cpp", "#include HEADER").empty());
}

TEST_CASE("made-up includes that keep the layering are accepted", "[architecture]") {
    CHECK(objection_to("firmware/scale/a.h", "#include <array>").empty());
    CHECK(objection_to("firmware/scale/a.cpp", "#include \"firmware/scale/units.h\"").empty());
    CHECK(objection_to("firmware/mechanics/a.cpp", "#include \"firmware/numbers/dense.h\"").empty());
    CHECK(objection_to("firmware/storage/a.cpp", "#include \"hal/storage.h\"").empty());
    CHECK(objection_to("firmware/indicator.cpp", "#include \"firmware/console/line.h\"").empty());
    CHECK(objection_to("firmware/indicator.cpp", "#include \"firmware/indicator.h\"").empty());
    CHECK(objection_to("hal/board.h", "#include \"hal/clock.h\"").empty());
    CHECK(objection_to("hal/simulated/clock.cpp", "#include \"hal/clock.h\"").empty());
    CHECK(objection_to("hal/simulated/clock.h", "#include <vector>").empty());
    CHECK(objection_to("sim/world/a.cpp", "#include \"hal/simulated/clock.h\"").empty());
    CHECK(objection_to("sim/files/a.cpp", "#include <toml++/toml.h>").empty());
    CHECK(objection_to("tests/files/a_test.cpp", "#include \"sim/files/load.h\"").empty());
    CHECK(objection_to("tests/files/a_test.cpp", "#include \"tests/files/sheets.h\"").empty());
}

TEST_CASE("an include directive is found however it is spaced", "[architecture]") {
    const std::vector<Include> found = includes_of(
        "#pragma once\n"
        "\t#  include\t<array>  // why\n"
        "// #include <vector>\n"
        "#include\"firmware/scale/units.h\"\n"
        "int include = 1;\n"
        "#include <span>");
    REQUIRE(found.size() == 3);
    CHECK(found[0].line == 2);
    CHECK(found[0].target == "array");
    CHECK(found[0].angled);
    CHECK(found[1].line == 4);
    CHECK(found[1].target == "firmware/scale/units.h");
    CHECK_FALSE(found[1].angled);
    CHECK(found[2].line == 6);
    CHECK(found[2].target == "span");
}

TEST_CASE("made-up names that say nothing are refused", "[architecture]") {
    for (const char* name : {"sim/files/utils.h", "sim/helpers/load.cpp", "firmware/scale/common.h",
                             "sim/cli/command_manager.cpp", "tests/misc_test.cpp", "sim/field/StringHelper.h",
                             "sim/report/svg-util.cpp"}) {
        INFO(name);
        CHECK_FALSE(name_objection(name).empty());
    }
    for (const char* name :
         {"firmware/scale/units.h", "sim/files/commonest_fault.h", "firmware/circuit/bus.cpp"}) {
        INFO(name);
        CHECK(name_objection(name).empty());
    }
}

TEST_CASE("a made-up type without a docstring is found at its line", "[architecture]") {
    const auto lines_of = [](std::string_view text) {
        std::vector<int> lines;
        for (const BareType& type : undocumented_types(text)) lines.push_back(type.line);
        return lines;
    };
    using Lines = std::vector<int>;

    CHECK(lines_of("struct Load {\n    double kg;\n};\n") == Lines{1});
    CHECK(lines_of("#pragma once\n\nenum class Key : char { zero, tare };\n") == Lines{3});
    CHECK(lines_of("class Board final : public Clock,\n                    public Line {\n};\n") == Lines{1});
    CHECK(lines_of("template <int Lanes>\nstruct Arms {\n};\n") == Lines{2});
    CHECK(lines_of("/// Outer.\nclass A {\n  private:\n    struct Inner {\n    };\n};\n") == Lines{4});
    // A blank line between, an ordinary comment, what belongs to the member before.
    CHECK(lines_of("/// Far away.\n\nstruct Load {\n};\n") == Lines{3});
    CHECK(lines_of("// Not for the pages.\nstruct Load {\n};\n") == Lines{2});
    CHECK(lines_of("/// A.\nstruct A {\n    int a;  ///< long\n            ///< story\n    struct B {\n    "
                   "};\n};\n") == Lines{5});
    CHECK(lines_of("template <int Lanes>\n/// Below it.\nstruct Arms {\n};\n") == Lines{3});
    CHECK(lines_of("union Word {\n};\nenum {\n    first\n};\n") == Lines{1, 3});
    CHECK(lines_of("struct [[nodiscard]] Answer {\n};\r\n") == Lines{1});

    // Documented, declared elsewhere, or no definition of a type at all.
    CHECK(lines_of("/// What weighs.\nstruct Load {\n};\n").empty());
    CHECK(lines_of("/// What weighs.\ntemplate <typename Half,\n          int Lanes>\nstruct Twice {\n};\n")
              .empty());
    CHECK(lines_of("struct Load;\nenum class Key : char;\ntemplate <int Lanes>\nstruct Arms;\n").empty());
    CHECK(lines_of("template <int Lanes> struct Far;\n/// Near.\nstruct Load {\n};\n").empty());
    CHECK(lines_of("struct Load total(int count) {\n}\nstruct Load empty = {};\n").empty());
    CHECK(lines_of("int structure = 0;\nclassify();\n").empty());
}
