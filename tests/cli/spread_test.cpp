#include <catch2/catch.hpp>

#include <unistd.h>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "sim/files/toml_text.h"
#include "tests/cli/command_line.h"

using namespace cornerbench::cli;

namespace {

namespace fs = std::filesystem;

std::string temporary(const std::string& name) {
    return (fs::temp_directory_path() / (std::to_string(::getpid()) + "-" + name)).string();
}

std::string text_of(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

Answer spread(std::vector<std::string> more, const std::string& scale = "scales/sawmill-4.toml") {
    more.insert(more.begin(), {"spread", config(scale), "--samples", "101", "--seed", "7"});
    return ask(more);
}

/// Columns of a line of UTF-8.
std::size_t columns(const std::string& line) {
    std::size_t count = 0;
    for (const char c : line) count += (static_cast<unsigned char>(c) & 0xc0U) != 0x80U ? 1 : 0;
    return count;
}

}  // namespace

TEST_CASE("spread shows three views and what to buy, for every shipped scale, in 80 columns", "[cli]") {
    for (const auto& entry : fs::directory_iterator(config("scales"))) {
        for (const std::vector<std::string>& state :
             {std::vector<std::string>{}, std::vector<std::string>{"--trimmed"}}) {
            const std::string scale = "scales/" + entry.path().filename().string();
            CAPTURE(scale, state.size());
            const Answer answer = spread(state, scale);
            CHECK(answer.code == 0);
            CHECK(answer.err.empty());
            for (const char* view : {"made-up scales", "first order", "worst case", "Which tolerance to buy"})
                CHECK(answer.says(view));
            std::istringstream lines(answer.out);
            for (std::string line; std::getline(lines, line);) CHECK(columns(line) <= 80);
        }
    }
}

TEST_CASE("a spread put together from its parts is the spread at once, to the byte", "[cli][long]") {
    for (const std::vector<std::string>& state :
         {std::vector<std::string>{"--as-delivered"}, std::vector<std::string>{"--trimmed"}}) {
        const auto with = [&](std::vector<std::string> more) {
            more.insert(more.end(), state.begin(), state.end());
            more.push_back("--force");
            return spread(more);
        };
        const std::string once_svg = temporary("once.svg");
        const std::string merged_svg = temporary("merged.svg");
        const Answer at_once = with({"--svg", once_svg});
        CHECK(at_once.code == 0);
        std::vector<std::string> merge{"merge"};
        for (const std::string k : {"2", "3", "1"}) {
            const std::string part = temporary("spread-" + k + ".json");
            const Answer ran = with({"--shard", k + "/3", "--outcomes", part});
            CHECK(ran.code == 0);
            CHECK(ran.out.empty());
            merge.push_back(part);
        }
        std::vector<std::string> drawn = merge;
        drawn.insert(drawn.end(), {"--svg", merged_svg, "--force"});
        CHECK(ask(drawn).out == at_once.out);
        CHECK(text_of(merged_svg) == text_of(once_svg));
        CHECK(text_of(once_svg).find("</svg>") != std::string::npos);
        std::vector<std::string> in_json = merge;
        in_json.push_back("--json");
        CHECK(ask(in_json).out == with({"--json"}).out);
        const std::string long_part = temporary("spread-long.json");
        std::ofstream(long_part) << text_of(merge[1])
                                 << std::string(2 * cornerbench::files::largest_file_bytes, ' ');
        CHECK(ask({"merge", long_part, merge[2], merge[3]}).out == at_once.out);
        fs::remove(long_part);
        CHECK(ask({"merge", merge[1], merge[2]}).complains("part 1 of 3 is missing"));
        CHECK(ask({"merge", merge[1], merge[1]}).complains("part 2 comes twice"));

        const std::string other = temporary("spread-other.json");
        CHECK(spread({"--shard", "1/3", "--outcomes", other, "--force", "--tolerances",
                      config("tolerances/matched-cells.toml")})
                  .code == 0);
        CHECK(ask({"merge", merge[1], other}).code == 3);
        CHECK(ask({"merge", merge[1], other}).complains("different spreads"));
        std::ofstream(other) << "{\"kind\": \"spread\", \"question\": {}}";
        CHECK(ask({"merge", other}).code == 3);
        std::ofstream(other) << "{\"kind\": \"spread\"";
        CHECK(ask({"merge", other}).code == 3);
        for (std::size_t i = 1; i < merge.size(); ++i) fs::remove(merge[i]);
        for (const std::string& path : {once_svg, merged_svg, other}) fs::remove(path);
    }
}

TEST_CASE("spread's JSON holds what the text says", "[cli]") {
    const auto document = spread({"--json"}, "scales/quarry-8.toml").json();
    CHECK(document["schema"] == 1);
    CHECK(document["state"] == "as delivered");
    CHECK(document["samples"] == 101);
    CHECK(document["drawn"]["spread_95_kg"].get<double>() > document["drawn"]["median_spread_kg"]);
    CHECK(document["worst_case"]["spread_kg"].get<double>() > document["drawn"]["spread_95_kg"]);
    REQUIRE(document["parts"].size() > 5);
    // Summed cells of 0.6 % in resistance and 0.1 % in output: the trade's reason for trims.
    CHECK(document["parts"][0]["part"] == "output resistance");
    double least = 0.0;
    for (const auto& part : document["parts"]) {
        CHECK(part["spread_95_kg_if_halved"].get<double>() >= least);
        least = part["spread_95_kg_if_halved"].get<double>();
    }
    const auto trimmed = spread({"--json", "--trimmed"}, "scales/quarry-8.toml").json();
    CHECK(trimmed["state"] == "trimmed");
    CHECK(trimmed["trims_out_of_reach"] == 0.0);
    CHECK_FALSE(document.contains("trims_out_of_reach"));
    CHECK(10.0 * trimmed["drawn"]["spread_95_kg"].get<double>() < document["drawn"]["spread_95_kg"]);
}

TEST_CASE("spread says on how many scales the trims end too soon", "[cli]") {
    const std::string path = temporary("wide.toml");
    // Cells 5 % apart are beyond a trim of 20 ohm in 400.
    std::ofstream(path) << "[tolerances]\nrated_output_percent = 5\n";
    const auto document =
        spread({"--json", "--trimmed", "--tolerances", path}, "scales/quarry-8.toml").json();
    CHECK(document["trims_out_of_reach"].get<double>() > 0.9);
    CHECK(spread({"--trimmed", "--tolerances", path}, "scales/quarry-8.toml")
              .says("Scales whose trims end before their corners are equal"));
    fs::remove(path);
}

TEST_CASE("spread says so where scales are beyond the worst case of first order", "[cli]") {
    // Trimmed to nothing a corner goes with the squares of tolerances, which have no slope there.
    const std::vector<std::string> trimmed{"spread", config("scales/sawmill-4.toml"), "--trimmed"};
    CHECK(ask(trimmed).says("of the made-up scales are beyond that worst case"));
    auto in_json = trimmed;
    in_json.push_back("--json");
    const auto document = ask(in_json).json();
    CHECK(document["beyond_worst_case"] > 0);
    CHECK(document["drawn"]["spread_95_kg"] > document["first_order"]["spread_95_kg"]);
    CHECK_FALSE(spread({}).says("beyond that worst case"));
    CHECK(spread({"--json"}).json()["beyond_worst_case"] == 0);
    CHECK(spread({"--stage", "service"}).says("limit of a corner in service by"));
}

TEST_CASE("a part that is cut short or cannot be is not put together", "[cli]") {
    const std::string part = temporary("part.json");
    REQUIRE(spread({"--shard", "1/2", "-o", part, "--force"}).code == 0);
    const std::string good = text_of(part);
    std::ofstream(part) << good.substr(0, good.size() / 2);
    const Answer cut = ask({"merge", part});
    CHECK(cut.complains("or only the beginning of one"));
    CHECK_FALSE(cut.complains("exception"));
    std::string below = good;
    const std::size_t first = below.find('[', below.find("\"drawn\": [") + 10) + 1;
    below.insert(first, "-");
    std::ofstream(part) << below;
    CHECK(ask({"merge", part}).complains("below 0"));
    fs::remove(part);
}

TEST_CASE("spread refuses what makes no sense and says what would", "[cli]") {
    CHECK(spread({"-o", "nowhere/x", "--svg", "nowhere/x"}).complains("two files cannot have one name"));
    CHECK(ask({"spread", config("scales/quarry-8.toml"), "--seed", "18446744073709551615"})
              .complains("valid: a smaller one"));
    CHECK(spread({"--trimmed", "--as-delivered"}).code == 2);
    CHECK(spread({"--shard", "1/2"}).complains("--shard needs --outcomes"));
    CHECK(ask({"spread", config("scales/quarry-8.toml"), "--samples", "19"}).code == 2);
    CHECK(spread({"--tolerances", config("minutes/weights-on-a-truck.toml")}).code == 3);
    CHECK(spread({"--tolerances", "nowhere.toml"}).code == 4);
    CHECK(spread({"--standard", "nowhere.toml"}).code != 0);

    const std::string path = temporary("untrimmed.toml");
    std::string text = text_of(config("scales/quarry-8.toml"));
    const auto at = text.find("kind = \"excitation-series\"");
    REQUIRE(at != std::string::npos);
    text.replace(at, 26, "kind = \"none\"");
    text.erase(text.find(", total_ohm", at), text.find('}', at) - text.find(", total_ohm", at));
    std::ofstream(path) << text;
    const Answer refused = ask({"spread", path, "--trimmed"});
    CAPTURE(refused.err);
    CHECK(refused.code == 2);
    CHECK(refused.complains("nothing to trim corners with"));
    fs::remove(path);
}
