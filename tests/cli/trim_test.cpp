#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <set>

#include "tests/cli/command_line.h"

using namespace cornerbench::cli;

namespace fs = std::filesystem;

namespace {

std::vector<std::string> shipped_sheets() {
    std::vector<std::string> paths;
    for (const auto& entry : fs::directory_iterator(config("sheets"))) paths.push_back(entry.path().string());
    std::sort(paths.begin(), paths.end());
    return paths;
}

std::string sheet(const std::string& name) {
    return config("sheets/" + name + ".toml");
}

/// A sheet of our own making in the temporary folder, gone with the object.
class MadeUp {
  public:
    MadeUp(const std::string& name, const std::string& scale, std::vector<std::string> more)
        : path_((fs::temp_directory_path() / ("cornerbench-" + name + ".toml")).string()) {
        fs::remove(path_);
        more.insert(more.begin(), {"sheet", config("scales/" + scale + ".toml"), "-o", path_});
        REQUIRE(ask(more).code == 0);
    }
    ~MadeUp() { fs::remove(path_); }
    MadeUp(const MadeUp&) = delete;
    MadeUp& operator=(const MadeUp&) = delete;

    /// Makes the first value behind `reading` another.
    void mistype(const std::string& reading, const std::string& other) const {
        std::ifstream in(path_);
        std::string text((std::istreambuf_iterator<char>(in)), {});
        const std::string key = "value = ";
        const auto at = text.find(key, text.find(reading));
        REQUIRE(at != std::string::npos);
        const auto from = at + key.size();
        std::ofstream(path_) << text.replace(from, text.find('\n', from) - from, other);
    }
    const std::string& path() const { return path_; }

  private:
    std::string path_;
};

/// Text in one line, as it was before it was broken into lines.
std::string flat(const std::string& text) {
    std::string line;
    for (const char c : text) {
        const bool blank = c == ' ' || c == '\n';
        if (!blank || (!line.empty() && line.back() != ' ')) line += blank ? ' ' : c;
    }
    return line;
}

bool a_fault(const nlohmann::json& cause) {
    const std::set<std::string> no_fault{"healthy", "trim-off", "altered-cable", "unlisted"};
    return no_fault.count(cause["name"]) == 0;
}

}  // namespace

TEST_CASE("every command's JSON begins with its schema", "[cli][long]") {
    const std::string scale = config("scales/sawmill-4.toml");
    std::vector<std::vector<std::string>> lines{{"corners", scale},
                                                {"causes"},
                                                {"causes", "rubbing"},
                                                {"sheet", scale},
                                                {"trial", scale, "--sheets", "1"},
                                                {"keys", "scale"},
                                                {"keys", "sheet"},
                                                {"exit-codes"},
                                                {"corners"}};
    for (const std::string& path : shipped_sheets()) {
        lines.push_back({"trim", path});
        lines.push_back({"diagnose", path});
    }
    for (std::vector<std::string> line : lines) {
        line.push_back("--json");
        INFO(line[0] << ' ' << line[1]);
        const Answer answer = ask(line);
        CHECK(answer.out.rfind("{\n  \"schema\": 1", 0) == 0);
        CHECK(answer.json()["schema"] == 1);
    }
}

TEST_CASE("trim says of every shipped sheet what diagnose says", "[cli][trim][long]") {
    for (const std::string& path : shipped_sheets()) {
        INFO(path);
        const auto diagnosed = ask({"diagnose", path, "--json"}).json();
        const auto plan = ask({"trim", path, "--json"}).json();
        const auto& first = diagnosed["causes"][0];
        CHECK((plan["verdict"] == "fault") == a_fault(first));
        const Answer text = ask({"trim", path});
        CHECK(text.code == 0);
        const std::string all = flat(text.out);
        CHECK(all.find(std::string(first["name"])) != std::string::npos);
        if (!a_fault(first)) continue;
        CHECK(all.find("diagnose " + path) != std::string::npos);
        CHECK(plan["diagnosis"]["suspects"][0]["name"] == first["name"]);
        CHECK(plan["diagnosis"]["suspects"][0]["where"] == first["where"]);
        CHECK(plan["diagnosis"]["suspects"][0]["probability"] == first["probability"]);
        CHECK(plan["fault_probability"].get<double>() > 0.9);
    }
}

TEST_CASE("a mistyped weight is set aside by trim as it is by diagnose, and named", "[cli][trim][long]") {
    const MadeUp made("trim-typo", "sawmill-4", {"--readings", "weights", "--mass", "8"});
    made.mistype("over = 3", "0.80");
    const auto diagnosed = ask({"diagnose", made.path(), "--json"}).json();
    REQUIRE(diagnosed["disagreeing"].size() == 1);
    const auto plan = ask({"trim", made.path(), "--json"}).json();
    REQUIRE(plan["diagnosis"]["set_aside"].size() == 1);
    CHECK(plan["diagnosis"]["set_aside"][0]["reading"] == diagnosed["disagreeing"][0]["reading"]);
    CHECK(plan["diagnosis"]["set_aside"][0]["what"] == "8.00 t over 3");
    // What is left are corners of a trimmed scale, with their rounding.
    CHECK((plan["verdict"] == "leave-it" || plan["verdict"] == "solved"));
    CHECK(plan["spread"]["before_d"].get<double>() < 3.0);
    CHECK(ask({"trim", made.path()}).says("(8.00 t over 3) was set aside"));
}

TEST_CASE("where a trim and a fault cannot be told apart, settings come with the checks that tell",
          "[cli][trim]") {
    const MadeUp made("trim-weak", "depot-6",
                      {"--readings", "weights", "--with", "weak-output cell=2 ratio=0.97", "--seed", "3"});
    const auto plan = ask({"trim", made.path(), "--json"}).json();
    CHECK(plan["diagnosis"]["verdict"] == "undecided");
    CHECK(plan.contains("steps"));
    REQUIRE_FALSE(plan["diagnosis"]["told_by"].empty());
    std::set<std::string> named;
    for (const auto& suspect : plan["diagnosis"]["suspects"]) {
        CHECK(suspect["where"]["cell"] == 2);
        named.insert(std::string(suspect["name"]));
    }
    CHECK(named.count("weak-output") == 1);
    CHECK(named.count("loose-terminal") == 1);
    const auto groups = ask({"diagnose", made.path(), "--json"}).json()["groups"];
    CHECK(groups[0]["split_by"]["what"] == plan["diagnosis"]["told_by"][0]["what"]);
    const Answer text = ask({"trim", made.path()});
    CHECK(text.says("Before a trim is touched"));
    CHECK(text.says("What would tell them apart"));
    CHECK(flat(text.out).find("weak-output, cell 2 (") != std::string::npos);
    CHECK(flat(text.out).find("cannot tell trim-off, cell 2 (") != std::string::npos);
}

TEST_CASE("in spite of a fault there are settings, and the fault stays named", "[cli][trim][long]") {
    for (const std::string& name :
         {std::string("elevator-does-not-come-back"), std::string("depot-everything-light"),
          std::string("quarry-west-end-light")}) {
        INFO(name);
        const std::vector<std::string> line{"trim", sheet(name), "--in-spite-of-fault", "--even-if-fine"};
        std::vector<std::string> json = line;
        json.push_back("--json");
        const auto plan = ask(json).json();
        CHECK(plan["in_spite_of_fault"] == true);
        CHECK(plan["fault_probability"].get<double>() > 0.9);
        CHECK(plan["verdict"] != "fault");
        for (const auto& corner : plan["corners"]) CHECK(corner.contains("to"));
        CHECK(ask(line).says("Computed in spite of a fault"));
        CHECK_FALSE(ask({"trim", sheet(name), "--json"}).json()["corners"][0].contains("to"));
    }
    const Answer reversed = ask({"trim", sheet("depot-corner-counts-backwards"), "--in-spite-of-fault"});
    CHECK(reversed.says("No settings exist: the cell at corner 4"));
}

TEST_CASE("nobody is told to turn what cannot be turned", "[cli][trim]") {
    const Answer soldered = ask({"trim", sheet("scrapyard-corner-heavy"), "--even-if-fine"});
    CHECK(soldered.says("fit (E96)"));
    CHECK(soldered.says("link"));
    CHECK(soldered.says("A smaller resistor raises the weight"));
    CHECK_FALSE(soldered.says("turn"));
    const Answer digital = ask({"trim", sheet("harbour-yearly-check"), "--even-if-fine"});
    CHECK(digital.says("enter gain"));
    CHECK(digital.says("A larger gain raises the weight"));
    CHECK_FALSE(digital.says("turn"));
    CHECK(ask({"trim", sheet("quarry-corners-differ")}).says("Fewer turns raise the weight"));
}

TEST_CASE("trim says that a cause stands out and that a trim may mend it", "[cli][trim]") {
    const std::string named = flat(ask({"trim", sheet("scrapyard-corner-heavy")}).out);
    CHECK(named.find("altered-cable, cell 6 (99.5 %) stands out, and a trim may mend it.") !=
          std::string::npos);
    CHECK(named.find("no fault stands out") == std::string::npos);
    const std::string sound = flat(ask({"trim", sheet("quarry-corners-differ")}).out);
    CHECK(sound.find("healthy (") != std::string::npos);
    CHECK(sound.find("no fault stands out") != std::string::npos);
}

TEST_CASE("trim leaves the corners that the readings cannot tell apart", "[cli][trim]") {
    const std::string path = sheet("scrapyard-corner-heavy");
    const auto plan = ask({"trim", path, "--json"}).json();
    int stays = 0;
    for (const auto& corner : plan["corners"]) {
        CHECK((corner["from"] == corner["to"]) == corner["stays"]);
        stays += corner["stays"] == true ? 1 : 0;
    }
    // One corner reads 6 d more than the others, of which one lies a division lower: 0.25 d of repeatability
    // and 1 / sqrt(12) d of rounding make some 0.4 d, and four equal corners 2.06 times that (d2 of control
    // charts).
    CHECK(stays == 4);
    CHECK(plan["corners"][5]["stays"] == false);
    const auto every = ask({"trim", path, "--even-if-fine", "--json"}).json();
    for (const auto& corner : every["corners"]) CHECK(corner["stays"] == false);
    CHECK(flat(ask({"trim", path}).out).find("their trims stay, and the others come to them") !=
          std::string::npos);
}

TEST_CASE("a target is told as the point where a display of whole divisions changes over", "[cli][trim]") {
    // OIML R 76-1:2006, A.4.4.3: with small weights dL on the load the display is about to change from I to
    // the next division when the indication before rounding is P = I + e/2 - dL.
    const std::string path = sheet("quarry-corners-differ");
    const auto plan = ask({"trim", path, "--json"}).json();
    REQUIRE(plan["steps"].size() == 8);
    const double e = 20.0;
    const std::string text = ask({"trim", path}).out;
    for (const auto& step : plan["steps"]) {
        for (const char* what : {"target", "check"}) {
            const double shown = step[what]["rounded"].get<double>();
            const double small = step[what]["changes_over_with"].get<double>();
            const double exact = step[what]["exact"].get<double>();
            CAPTURE(what, shown, small, exact);
            CHECK(std::fabs(shown / e - std::round(shown / e)) < 1.0e-9);
            CHECK(small >= 0.0);
            CHECK(small <= e);
            CHECK(std::fabs(small / (0.1 * e) - std::round(small / (0.1 * e))) < 1.0e-9);
            CHECK(std::fabs(shown + 0.5 * e - small - exact) <= 0.05 * e + 1.0e-9);
        }
    }
    CHECK(text.find("The same on a display of whole divisions, 20 kg") != std::string::npos);
    CHECK(flat(text).find("Weights down to a tenth of a division, 2.0 kg, are fine enough") !=
          std::string::npos);
}

TEST_CASE("trim keeps to 80 columns and to the trade's words", "[cli][trim][long]") {
    for (const std::string& path : shipped_sheets()) {
        for (const char* more : {"--keep-zero", "--even-if-fine", "--in-spite-of-fault"}) {
            const Answer answer = ask({"trim", path, more});
            INFO(path << ' ' << more);
            std::istringstream lines(answer.out);
            for (std::string line; std::getline(lines, line);) {
                if (line.find(path) == std::string::npos) CHECK(line.size() <= 80);
            }
            CHECK_FALSE(answer.says("standard deviation"));
            CHECK_FALSE(answer.says("95 of 100"));
        }
    }
}

TEST_CASE("trim takes the priors that diagnose takes", "[cli][trim]") {
    const std::string path = (fs::temp_directory_path() / "cornerbench-trim-priors.toml").string();
    std::ofstream(path) << "healthy = 0.0001\n[causes]\naltered-cable = 0\ntrim-off = 0\n";
    const std::string complaint = sheet("scrapyard-corner-heavy");
    const auto diagnosed = ask({"diagnose", complaint, "--priors", path, "--json"}).json();
    const auto plan = ask({"trim", complaint, "--priors", path, "--json"}).json();
    fs::remove(path);
    REQUIRE(a_fault(diagnosed["causes"][0]));
    CHECK(plan["diagnosis"]["verdict"] != "trim");
    CHECK(ask({"trim", complaint, "--json"}).json()["diagnosis"]["verdict"] == "trim");
}
