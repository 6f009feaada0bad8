#include "sim/files/standard_rules.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "sim/files/standard_file.h"
#include "sim/files/standard_folders.h"
#include "sim/files/standard_keys.h"
#include "tests/cli/command_line.h"
#include "tests/files/scale_text.h"

using namespace cornerbench;

namespace {

files::Standard shipped(const std::string& name) {
    const auto loaded = files::choose_standard(name, "scale.toml");
    INFO(files::to_string(loaded.errors));
    REQUIRE(loaded);
    return *loaded.value;
}

std::string text_of(const std::string& name) {
    return std::string(files::compiled_in_standard(files::standard_file_name(name)));
}

std::string replaced(std::string text, const std::string& part, const std::string& other) {
    const auto at = text.find(part);
    REQUIRE(at != std::string::npos);
    return text.replace(at, part.size(), other);
}

std::string only_error(const std::string& text) {
    const auto loaded = files::parse_standard(text, "s.toml");
    REQUIRE_FALSE(loaded);
    INFO(files::to_string(loaded.errors));
    REQUIRE(loaded.errors.size() == 1);
    return files::to_string(loaded.errors.front());
}

}  // namespace

TEST_CASE("classes allow the sizes that their standards give", "[limits]") {
    // OIML R 76-1:2006, 3.2, table 3, e of 5 g and more. NIST Handbook 44, 2.20, table 3: III L as published,
    // III from memory.
    struct Size {
        const char* standard;
        const char* name;
        double least;
        double most;
        double division_kg;
        double min;
    };
    const Size sizes[] = {{"OIML R 76", "III", 500, 10000, 0.005, 20},
                          {"OIML R 76", "IIII", 100, 1000, 0.005, 10},
                          {"NIST Handbook 44", "III", 500, 10000, 0.005, 20},
                          {"NIST Handbook 44", "III L", 2000, 10000, 2.0, 50}};
    for (const Size& size : sizes) {
        INFO(size.standard << " " << size.name);
        const files::Standard standard = shipped(size.standard);
        const files::AccuracyClass* found = standard.find_class(size.name);
        REQUIRE(found != nullptr);
        CHECK(found->sizes.least_divisions == size.least);
        CHECK(found->sizes.most_divisions == size.most);
        CHECK(found->sizes.least_division_kg == size.division_kg);
        CHECK(found->sizes.least_load_divisions == size.min);
        CHECK_FALSE(found->sizes.clause.empty());
    }
}

TEST_CASE("a scale's file is warned of by the sizes that the standard's data has", "[limits]") {
    for (const char* name : {"OIML R 76", "NIST Handbook 44", "in-plant"}) {
        for (const files::AccuracyClass& each : shipped(name).classes) {
            if (each.sizes.most_divisions == 0.0) continue;
            INFO(name << " " << each.name);
            const auto warnings_at = [&](double divisions) {
                files::testing::ScaleText text = files::testing::ScaleText::small();
                text.set("", "standard", "\"" + std::string(name) + "\"");
                text.set("", "class", "\"" + each.name + "\"");
                text.set("", "division", "2").set("", "max", std::to_string(2.0 * divisions));
                const auto loaded = text.load();
                REQUIRE(loaded);
                return loaded.warnings.size();
            };
            CHECK(warnings_at(each.sizes.least_divisions) == 0);
            CHECK(warnings_at(each.sizes.least_divisions - 1.0) == 1);
            CHECK(warnings_at(each.sizes.most_divisions) == 0);
            CHECK(warnings_at(each.sizes.most_divisions + 1.0) == 1);
        }
    }
}

TEST_CASE("tests of a day are those of the standards", "[limits]") {
    // OIML R 76-1:2006, 3.6.1 and 3.6.2.4; 3.9.4.2, 3.8.2.2 and 3.7.3 (the last three from memory).
    const files::TestRules r76 = shipped("OIML R 76").tests;
    REQUIRE(r76.repeatability);
    CHECK(r76.repeatability->spread_limits == 1.0);
    CHECK(r76.rolling_share == 0.8);
    REQUIRE(r76.zero_return);
    CHECK(r76.zero_return->limit_divisions == 0.5);
    REQUIRE(r76.discrimination);
    CHECK(r76.discrimination->extra_divisions == 1.4);
    REQUIRE(r76.substitution);
    CHECK(r76.substitution->least_own_share(1.0) == 0.5);
    CHECK(r76.substitution->least_own_share(0.3) == 0.35);
    CHECK(r76.substitution->least_own_share(0.2) == 0.2);
    // NIST Handbook 44, 2.20, table 4 and N.1.9 (from memory).
    const files::TestRules h44 = shipped("NIST Handbook 44").tests;
    REQUIRE(h44.substitution);
    CHECK(h44.substitution->own_share == 0.125);
    CHECK(h44.substitution->test_load_share == 0.25);
    CHECK_FALSE(h44.discrimination->one_back);
    CHECK(r76.discrimination->one_back);
    CHECK_FALSE(h44.repeatability->by_stage);
    CHECK(h44.zero_return->smallest_limits == 1.0);
}

TEST_CASE("least weights and loads follow capacity and unit", "[limits]") {
    // NIST Handbook 44, 2.20, table 4 (from memory), which lists metric and inch-pound scales side by side.
    const files::SubstitutionRule rule = *shipped("NIST Handbook 44").tests.substitution;
    const double lb = 0.45359237;
    const struct {
        scale::MassUnit unit;
        double max_kg;
        double weights_kg;
        double load_kg;
    } rows[] = {{scale::MassUnit::kilogram, 150, 150, 150},
                {scale::MassUnit::kilogram, 1500, 375, 1125},
                {scale::MassUnit::kilogram, 20000, 2500, 10000},
                {scale::MassUnit::kilogram, 20020, 5000, 10000},
                {scale::MassUnit::tonne, 80000, 10000, 20000},
                {scale::MassUnit::pound, 300 * lb, 300 * lb, 300 * lb},
                {scale::MassUnit::pound, 1000 * lb, 300 * lb, 750 * lb},
                {scale::MassUnit::pound, 40000 * lb, 5000 * lb, 20000 * lb},
                {scale::MassUnit::pound, 40020 * lb, 10000 * lb, 20000 * lb},
                {scale::MassUnit::pound, 200000 * lb, 25000 * lb, 50000 * lb}};
    for (const auto& row : rows) {
        INFO(row.max_kg);
        scale::Description d;
        d.unit = row.unit;
        d.max_kg = row.max_kg;
        CHECK(rule.of(d).least_weights_kg(d.max_kg, 0.0) == Approx(row.weights_kg));
        CHECK(rule.of(d).least_test_load_kg(d.max_kg) == Approx(row.load_kg));
    }
    // OIML R 76-1:2006, 3.7.3 (from memory): the same whatever Max is, and all of Max is tested.
    scale::Description d;
    d.max_kg = 60000.0;
    const files::SubstitutionRule r76 = shipped("OIML R 76").tests.substitution->of(d);
    CHECK(r76.least_weights_kg(d.max_kg, 1.0) == 30000.0);
    CHECK(r76.least_test_load_kg(d.max_kg) == 60000.0);
}

TEST_CASE("error shares of modules square to no more than one", "[limits]") {
    // OIML R 76-1:2006, 3.10.2.1 (from memory): 0.7, 0.5, 0.5.
    for (const char* name : {"OIML R 76", "NIST Handbook 44", "in-plant"}) {
        const auto modules = shipped(name).modules;
        REQUIRE(modules);
        const double sum = modules->cell_share * modules->cell_share +
                           modules->indicator_share * modules->indicator_share +
                           modules->cable_share * modules->cable_share;
        CHECK(sum == Approx(0.99));
    }
}

TEST_CASE("errors of a standard's further rules point as well", "[files]") {
    const std::string good = text_of("OIML R 76");
    CHECK(
        only_error(replaced(good, "decreasing = true", "decreesing = true")).find("nearest is decreasing") !=
        std::string::npos);
    CHECK(only_error(replaced(good, "times = 3", "times = 0")).find("times = 0") != std::string::npos);
    CHECK(only_error(replaced(good, "shares = [0.5, 0.9]", "shares = 0.5")).find("a list of shares") !=
          std::string::npos);
    CHECK(only_error(replaced(good, "limit_divisions = 0.5", "")).find("either this or smallest_limits") !=
          std::string::npos);
    CHECK(only_error(replaced(good, "most_divisions = 10000", "most_divisions = 100"))
              .find("least_divisions or more") != std::string::npos);
    const std::string pounds = text_of("NIST Handbook 44");
    CHECK(
        only_error(replaced(pounds, "up_to = 3000,", "up_to = 200,")).find("above that of the row before") !=
        std::string::npos);
    CHECK(only_error(replaced(pounds, "unit = \"lb\", up_to = 300,", "unit = \"pound\", up_to = 300,"))
              .find("unit") != std::string::npos);
    CHECK(only_error(replaced(good, "[tests.rolling]", "[tests.roling]")).find("rolling") !=
          std::string::npos);
    CHECK(only_error(replaced(good, "cell_share = 0.7", "cell_share = 7")).find("cell_share = 7") !=
          std::string::npos);
    CHECK(only_error("[deck]\n").find("makes this a scale file") != std::string::npos);
}

TEST_CASE("every key of a standard's file is documented", "[files]") {
    const std::string text = files::standard_keys_text();
    for (const files::PlainKey& key : files::standard_keys()) {
        INFO(key.table << " " << key.name);
        CHECK(text.find("  " + std::string(key.name) + ": ") != std::string::npos);
        CHECK_FALSE(key.meaning.empty());
    }
}

TEST_CASE("a local code is a file, beside the scale or anywhere", "[files][cli]") {
    namespace fs = std::filesystem;
    const fs::path top = fs::temp_directory_path() / "cornerbench-local-code-test";
    fs::remove_all(top);
    fs::create_directories(top / "scales");
    fs::create_directories(top / "standards");
    const std::string scale = (top / "scales" / "quarry.toml").string();
    fs::copy_file(cli::config("scales/quarry-8.toml"), scale);
    std::string code = replaced(text_of("OIML R 76"), "name = \"OIML R 76\"", "name = \"County code\"");
    code = replaced(code, "few_divisor = 3", "share_of_max = 0.2");
    code = replaced(code, "few_supports = 4", "# few_supports = 4");
    std::ofstream(top / "standards" / "county.toml") << code;

    for (const std::string& asked : {std::string("county"), (top / "standards" / "county.toml").string()}) {
        const auto document = cli::ask({"corners", scale, "--standard", asked, "--json"}).json();
        CHECK(document["standard"] == "County code");
        CHECK(document["mass"] == 12000);
    }
    CHECK(cli::ask({"corners", scale, "--standard", "NIST Handbook 44", "--json"}).json()["standard"] ==
          "NIST Handbook 44");
    CHECK(cli::ask({"corners", scale, "--standard", "oiml-r76", "--json"}).json()["standard"] == "OIML R 76");
    const cli::Answer unknown = cli::ask({"corners", scale, "--standard", "county2"});
    CHECK(unknown.code == 4);
    CHECK(unknown.complains("nearest: county"));
    const cli::Answer another = cli::ask({"corners", scale, "--standard", scale});
    CHECK(another.code == 3);
    CHECK(another.complains("makes this a scale file"));
    std::ofstream(top / "standards" / "bare.toml") << replaced(code, "name = \"III\"", "name = \"V\"");
    const cli::Answer no_class = cli::ask({"corners", scale, "--standard", "bare"});
    CHECK(no_class.code == 3);
    CHECK(no_class.complains("class \"III\" is not in County code"));
    fs::remove_all(top);
}
