#include "sim/files/standard_file.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "sim/files/standard_folders.h"

using namespace cornerbench;

namespace {

const std::string good = R"(name = "Trial standard"
edition = "1"
[stages.verification]
word = "new"
factor = 1
clause = "1"
[stages.service]
word = "used"
factor = 2
clause = "2"
[corner_test]
clause = "3"
share_of_max = 0.25
spread = true
[[class]]
name = "A"
clause = "4"
bands = [{ up_to = 10, limit = 1 }, { up_to = 20, limit = 2 }]
[indicator]
clause = "5"
initial_zero_share = 0.2
zero_setting_share = 0.03
zero_light_divisions = 0.25
tracking_divisions = 0.5
motion_divisions = 2
over_share = 0.1
)";

/// The good file with one part replaced.
std::string with(const std::string& part, const std::string& other) {
    std::string text = good;
    const auto at = text.find(part);
    REQUIRE(at != std::string::npos);
    return text.replace(at, part.size(), other);
}

std::string only_error(const std::string& text) {
    const auto loaded = files::parse_standard(text, "s.toml");
    REQUIRE_FALSE(loaded);
    REQUIRE(loaded.errors.size() == 1);
    return files::to_string(loaded.errors.front());
}

std::string text_of(const std::filesystem::path& path) {
    std::ifstream stream(path, std::ios::binary);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

}  // namespace

TEST_CASE("a standard is read with all that it says", "[files]") {
    const auto loaded = files::parse_standard(good, "s.toml");
    REQUIRE(loaded);
    const files::Standard& s = *loaded.value;
    CHECK(s.name == "Trial standard");
    CHECK(s.stage(files::Stage::service).word == "used");
    CHECK(s.corner_rule.share_of_max == 0.25);
    CHECK(s.corner_spread);
    CHECK_FALSE(s.before_rounding);
    const auto exact = files::parse_standard(
        with("spread = true", "before_rounding = true\nrounding_clause = \"5\""), "s.toml");
    REQUIRE(exact);
    CHECK(exact.value->before_rounding);
    CHECK(exact.value->rounding_clause == "5");
    CHECK(s.limit_divisions("A", files::Stage::service, 15.0) == 4.0);
    CHECK(s.limit_divisions("A", files::Stage::service, 1000.0) == 4.0);
    CHECK(s.find_class("B") == nullptr);
    const weighing::Rules rules{0.2, 0.03, 0.25, 0.5, 0.0, 2.0, 0.0, 0.1};
    CHECK(s.rules("A") == rules);
    CHECK(s.rules("B") == weighing::Rules{});
}

TEST_CASE("errors of a standard's file name line, key, value and what would be valid", "[files]") {
    CHECK(only_error(with("factor = 2", "factor = -2")).find("s.toml:9:") == 0);
    CHECK(only_error(with("factor = 2", "factor = -2")).find("factor = -2") != std::string::npos);
    CHECK(only_error(with("spread = true", "spraed = true")).find("spread") != std::string::npos);
    CHECK(only_error(with("{ up_to = 20, limit = 2 }", "{ up_to = 10, limit = 2 }"))
              .find("above the one before") != std::string::npos);
    CHECK(only_error(with("word = \"used\"\n", "")).find("word") != std::string::npos);
    CHECK(only_error(with("motion_divisions = 2\n", "")).find("motion_divisions") != std::string::npos);
    CHECK(only_error(with("over_share = 0.1\n", "")).find("over_share or both") != std::string::npos);
    CHECK(only_error(with("over_share = 0.1", "over_share = 10")).find("over_share = 10") !=
          std::string::npos);
    const std::string without = good.substr(0, good.find("[indicator]"));
    CHECK(only_error(without).find("indicator") != std::string::npos);
    CHECK(only_error(with("name = \"Trial standard\"", "name = \"Trial")).find("s.toml:1") == 0);
}

TEST_CASE("the copies inside the program are the shipped files", "[files]") {
    const std::filesystem::path folder = std::string(CORNERBENCH_SOURCE_DIR) + "/configs/standards";
    for (const char* name : {"OIML R 76", "NIST Handbook 44", "in-plant"}) {
        const std::string file(files::standard_file_name(name));
        REQUIRE_FALSE(file.empty());
        CHECK(std::string(files::compiled_in_standard(file)) == text_of(folder / file));
    }
    CHECK(files::compiled_in_standard("none.toml").empty());
}

TEST_CASE("a standard beside the scale goes before the one inside the program", "[files]") {
    namespace fs = std::filesystem;
    const fs::path top = fs::temp_directory_path() / "cornerbench-standard-test";
    fs::remove_all(top);
    fs::create_directories(top / "site" / "scales");
    const std::string scale = (top / "site" / "scales" / "x.toml").string();

    const auto inside = files::find_standard("OIML R 76", scale);
    REQUIRE(inside);
    CHECK(inside.value->path.empty());

    fs::create_directories(top / "site" / "standards");
    std::ofstream(top / "site" / "standards" / "oiml-r76.toml") << good;
    const auto beside = files::find_standard("OIML R 76", scale);
    REQUIRE(beside);
    CHECK(beside.value->name == "Trial standard");
    fs::remove_all(top);
}

TEST_CASE("a scale names the code of its own place, which then holds", "[files]") {
    namespace fs = std::filesystem;
    const fs::path top = fs::temp_directory_path() / "cornerbench-own-code-test";
    fs::remove_all(top);
    fs::create_directories(top / "standards");
    std::ofstream(top / "standards" / "town.toml") << good;
    std::string scale = text_of(std::string(CORNERBENCH_SOURCE_DIR) + "/configs/scales/quarry-8.toml");
    const std::string before = "standard = \"OIML R 76\"";
    REQUIRE(scale.find(before) != std::string::npos);
    scale.replace(scale.find(before), before.size(), before + "\nlocal_standard = \"town\"");
    std::ofstream(top / "own.toml") << scale;
    const auto own = files::load_scale((top / "own.toml").string());
    REQUIRE(own);
    CHECK(own.value->local_standard == "town");
    const auto named = files::standard_of(*own.value);
    REQUIRE(named);
    CHECK(named.value->name == "Trial standard");

    fs::remove(top / "standards" / "town.toml");
    const auto gone = files::standard_of(*own.value);
    CHECK_FALSE(gone);
    REQUIRE(gone.errors.size() == 1);
    CHECK(files::to_string(gone.errors.front()).find("town") != std::string::npos);
    fs::remove_all(top);
}
