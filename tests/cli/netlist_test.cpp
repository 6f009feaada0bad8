#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iostream>

#include "tests/cli/command_line.h"

using namespace cornerbench::cli;

namespace fs = std::filesystem;

namespace {

std::vector<std::string> shipped_scales() {
    std::vector<std::string> paths;
    for (const auto& entry : fs::directory_iterator(config("scales"))) paths.push_back(entry.path().string());
    std::sort(paths.begin(), paths.end());
    return paths;
}

/// What a run of ngspice in batch mode prints of a file.
std::string ngspice_prints(const std::string& path) {
    std::string out;
    FILE* pipe = popen(("ngspice -b '" + path + "' 2>&1").c_str(), "r");
    if (pipe == nullptr) return out;
    char bytes[4096];
    for (std::size_t got; (got = std::fread(bytes, 1, sizeof bytes, pipe)) > 0;) out.append(bytes, got);
    pclose(pipe);
    return out;
}

/// The number behind "name = "; NaN where it was not printed.
double printed(const std::string& text, const std::string& name) {
    const std::size_t at = text.find("\n" + name + " = ");
    return at == std::string::npos ? std::nan("") : std::stod(text.substr(at + name.size() + 4));
}

double volt_of(const nlohmann::json& document, const std::string& node) {
    for (const auto& each : document["nodes"])
        if (each["node"] == node) return each["volt"].is_null() ? std::nan("") : each["volt"].get<double>();
    return std::nan("");
}

class TemporaryPath {
  public:
    explicit TemporaryPath(const std::string& name) : path_((fs::temp_directory_path() / name).string()) {
        fs::remove(path_);
    }
    ~TemporaryPath() { fs::remove(path_); }
    TemporaryPath(const TemporaryPath&) = delete;
    TemporaryPath& operator=(const TemporaryPath&) = delete;
    const std::string& text() const { return path_; }

  private:
    std::string path_;
};

}  // namespace

TEST_CASE("ngspice in batch mode runs a shipped scale's netlist as it stands", "[cli]") {
    if (std::system("command -v ngspice >/dev/null 2>&1") != 0) {
        std::cout << "[SKIPPED] ngspice is not installed\n";
        return;
    }
    const TemporaryPath file("cornerbench-netlist-test.cir");
    for (const std::string& scale : shipped_scales()) {
        for (const std::vector<std::string>& more :
             {std::vector<std::string>{},
              {"--with", "open-wire cell=2 wire=all"},
              {"--with", "wet-leak cell=1 wires=S+,shield ohm=50000", "--load", "mass=5 over=2"}}) {
            std::vector<std::string> words{"netlist", scale, "-o", file.text(), "--force"};
            words.insert(words.end(), more.begin(), more.end());
            CAPTURE(words);
            REQUIRE(ask(words).code == 0);
            words.push_back("--json");
            const auto document = ask(words).json();
            const std::string said = ngspice_prints(file.text());
            CAPTURE(said);
            const bool summed = said.find("converter_reads_mv_per_v") != std::string::npos;
            CHECK(summed != (said.find("converter1_reads_mv_per_v") != std::string::npos));
            if (summed)
                CHECK(printed(said, "converter_reads_mv_per_v") ==
                      Approx(document["converter_mV_per_V"].get<double>()).margin(1.0e-7));
            CHECK(printed(said, "cell3_signal_v") ==
                  Approx(volt_of(document, "cell3_wire_sig_plus") - volt_of(document, "cell3_wire_sig_minus"))
                      .margin(1.0e-9));
            CHECK(said.find("rror") == std::string::npos);
        }
    }
}

TEST_CASE("a netlist says beside each element what a cause made of it", "[cli]") {
    const std::string scale = config("scales/quarry-8.toml");
    const Answer sound = ask({"netlist", scale});
    CHECK(sound.code == 0);
    CHECK(sound.says("* Nothing is wrong with it."));
    CHECK_FALSE(sound.says("sound:"));
    CHECK(sound.says("R_home_run_exc_minus indicator_exc_minus box_exc_minus 0.91952\n"));

    const Answer loose = ask({"netlist", scale, "--with", "loose-terminal cell=5 wire=S+ ohm=38"});
    CHECK(
        loose.says("*   sound: 0.02 ohm\nR_screw5_sig_plus cell5_wire_sig_plus terminal5_sig_plus 38.02\n"));
    const Answer wet = ask({"netlist", scale, "--with", "wet-leak cell=1 wires=E+,S- ohm=50000"});
    CHECK(wet.says("*   added by the cause:\nR_cell1_leak1 cell1_exc_plus cell1_sig_minus 50000\n"));
    const Answer cut = ask({"netlist", scale, "--with", "open-wire cell=2 wire=S+"});
    CHECK(cut.says(
        "* Taken away by the cause\n*   R_cell2_cable_sig_plus cell2_sig_plus cell2_wire_sig_plus "));
    const Answer off = ask({"netlist", scale, "--with", "open-wire cell=2 wire=all"});
    CHECK(off.says("*   hangs free: R_cell2_arm1 "));
    CHECK(off.says("*   carries no current, so written as a joint: 3.2 ohm\nV_trim2 "));
}

TEST_CASE("a probe counts from where the minus lead is clipped and fits a terminal", "[cli]") {
    const std::string scale = config("scales/quarry-8.toml");
    const auto usual = ask({"netlist", scale, "--probe", "--json"}).json();
    CHECK(volt_of(usual, "box_exc_minus") == 0.0);
    CHECK(usual["nodes"][0]["against"] == "box_exc_minus");
    const auto there = ask({"netlist", scale, "--reference", "indicator_exc_minus", "--json"}).json();
    CHECK(volt_of(there, "indicator_exc_minus") == 0.0);
    CHECK(volt_of(there, "indicator_exc_plus") == Approx(10.0).epsilon(1.0e-12));
    CHECK(volt_of(there, "cell3_sig_plus") - volt_of(usual, "cell3_sig_plus") ==
          Approx(-volt_of(usual, "indicator_exc_minus")).epsilon(1.0e-9));
    for (const std::string& each : shipped_scales()) {
        std::istringstream lines(ask({"netlist", each, "--probe"}).out);
        for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
    }
    const Answer free = ask({"netlist", scale, "--probe", "--with", "open-wire cell=2 wire=all"});
    CHECK(free.says("in cell 2      free"));

    const Answer unknown = ask({"netlist", scale, "--probe", "--reference", "indicator_exc_minuss"});
    CHECK(unknown.code == 2);
    CHECK(unknown.complains("nearest: indicator_exc_minus"));
    CHECK(ask({"netlist", scale, "--reference", "box_sig_minus"}).complains("needs --probe"));
    CHECK(ask({"netlist", scale, "--probe", "-o", "nowhere/x.cir"}).complains("one of them at a time"));
    CHECK(ask({"netlist", scale, "--probe", "--reference", "cell2_shield", "--with",
               "open-wire cell=2 wire=all"})
              .complains("hangs free"));
}

TEST_CASE("loads on the command line are those of a sheet", "[cli]") {
    const std::string scale = config("scales/quarry-8.toml");
    const auto with = [&](const std::string& load) {
        return ask({"netlist", scale, "--load", load, "--json"});
    };
    const auto words = with("mass=10000 over=3").json();
    CHECK(words["load"] == "10 000 kg over 3");
    CHECK(words["nodes"] == with("{ mass = 10000, over = 3 }").json()["nodes"]);
    CHECK(words["nodes"] == with("mass = 10000, over = 3").json()["nodes"]);
    CHECK(words["nodes"] == with("mass=10000 at=[12.0, 2.6]").json()["nodes"]);
    CHECK(words["nodes"] != with("empty").json()["nodes"]);
    CHECK(with("vehicle=tipper-3-axle position=9 heading=left").code == 0);
    CHECK(ask({"netlist", scale, "--load", "mass=6000 over=3", "--load", "mass=4000 over=3", "--json"})
              .json()["converter_mV_per_V"]
              .get<double>() == Approx(words["converter_mV_per_V"].get<double>()).epsilon(1.0e-9));

    for (const auto& [load, complaint] : {std::pair{"mass=10000 over=9", "at least 1 and at most 8"},
                                          {"mas=10000 over=3", "nearest is mass"},
                                          {"ten tonnes", "valid: such as \"mass=10000 over=3\""},
                                          {"mass=10000 at=[99, 1]", "on the deck"},
                                          {"}{", "valid: such as"}}) {
        const Answer answer = with(load);
        CAPTURE(load, answer.err);
        CHECK(answer.code == 2);
        CHECK(answer.complains(complaint));
    }
}

TEST_CASE("a netlist does not write over a file unasked", "[cli]") {
    const TemporaryPath file("cornerbench-netlist-there.cir");
    std::ofstream(file.text()) << "mine";
    const std::string scale = config("scales/sawmill-4.toml");
    const Answer refused = ask({"netlist", scale, "-o", file.text()});
    CHECK(refused.code == 4);
    CHECK(refused.complains("--force"));
    CHECK(ask({"netlist", scale, "-o", file.text(), "--force"}).code == 0);
}
