#include "sim/live/panel_screen.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <regex>
#include <set>

#include <spdlog/fmt/fmt.h>

#include "sim/live/large_digits.h"
#include "tests/live/live_bench.h"

using namespace cornerbench;
using namespace cornerbench::live;
using namespace cornerbench::live::testing;

namespace {

std::string joined(const std::vector<ScreenLine>& lines) {
    std::string text;
    for (const ScreenLine& line : lines) text += line.text + "\n";
    return text;
}

void check_fits(const std::vector<ScreenLine>& lines) {
    INFO(joined(lines));
    CHECK(lines.size() == 24);
    for (const ScreenLine& line : lines) {
        CHECK(line.text.size() <= 80);
        CHECK(std::all_of(line.text.begin(), line.text.end(), [](char c) { return c >= ' ' && c <= '~'; }));
    }
}

bool shows(LiveScale& live, const std::string& part) {
    const std::string text = joined(panel_screen(live, {}));
    INFO(text);
    return text.find(part) != std::string::npos;
}

/// A weighbridge of eight sections, as many as there may be, with a name longer than a title has room for.
constexpr const char* sixteen_cells = R"(
name = "The long weighbridge behind the northern gate, with signs \u00e9 and \u20ac"
unit = "kg"
max = 100000
division = 20
standard = "OIML R 76"
class = "III"
gravity = { g = 9.81 }
[deck]
mass = 30000
section_x_m = [0, 4, 8, 12, 16, 20, 24, 28]
width_m = 3
[cell]
capacity = 30000
[box]
converter = "per-cell"
)";

}  // namespace

TEST_CASE("the panel fits 80 columns and 24 lines on every shipped scale, whatever happens", "[live]") {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(CORNERBENCH_SOURCE_DIR "/configs/scales"))
        names.push_back(entry.path().stem().string());
    REQUIRE(names.size() >= 6);
    for (const std::string& name : names) {
        INFO(name);
        LiveBench bench(name, 100.0);
        LiveScale& live = bench.live();
        check_fits(panel_screen(live, {}));
        for (int support = 0; support < bench.yard().supports(); ++support) bench.yard().move_weight(support);
        bench.yard().inject("weak-output cell=2 ratio=0.9");
        bench.yard().inject("loose-terminal cell=3 wire=S+ ohm=40");
        bench.pass(4.0);
        check_fits(panel_screen(live, {1.0e7, std::string(300, 'x')}));
        live.controls().take("f" + std::string(200, 'y'));
        check_fits(panel_screen(live, {}));
        live.controls().take("\x1b");
        live.controls().take("o");
        check_fits(panel_screen(live, {}));
        CHECK(shows(live, "dark"));
    }
}

TEST_CASE("the panel has room for sixteen cells", "[live]") {
    const auto loaded = files::parse_scale(sixteen_cells, "sixteen.toml");
    INFO(files::to_string(loaded.errors));
    REQUIRE(loaded.value);
    Yard yard(*loaded.value, cli::standard_or_stop(*loaded.value), 1, {});
    LiveScale live(yard, {.pace = 100.0});
    for (int support = 0; support < 16; ++support) yard.move_weight(support);
    for (int i = 0; i < 400; ++i) yard.frame();
    const auto lines = panel_screen(live, {});
    check_fits(lines);
    for (int support = 1; support <= 16; ++support) {
        const std::string mark = fmt::format("{:>2} W [", support);
        CHECK(joined(lines).find(mark) != std::string::npos);
    }
    // The longest legend is not cut either.
    CHECK(joined(lines).find("m mend\n") != std::string::npos);
    CHECK(joined(lines).find("q quit\n") != std::string::npos);
    live.controls().take("06");
    CHECK(live.controls().support() == 15);
}

TEST_CASE("the panel tells the division and the tare as the display shows them, in every unit", "[live]") {
    LiveBench bench("quarry-8", 100.0);
    LiveScale& live = bench.live();
    CHECK(shows(live, "d 20 kg "));
    live.controls().take("2w");
    bench.pass(4.0);
    live.controls().take("t");
    bench.pass(1.0);
    const auto tare = [&] {
        std::string words = joined(panel_screen(live, {}));
        words.erase(0, words.find("net, tare ") + 10);
        words.erase(words.find('\n'));
        std::erase(words, ' ');
        return words;
    };
    const auto kg = std::stoi(tare());
    CHECK(tare() == fmt::format("{}kg", kg));
    CHECK(kg % 20 == 0);
    CHECK(std::abs(kg - 8'580) <= 40);
    live.controls().take("u");
    bench.pass(0.5);
    CHECK(shows(live, "d 0.02 t "));
    CHECK(tare() == fmt::format("{:.2f}t", kg / 1000.0));
    live.controls().take("u");
    bench.pass(0.5);
    CHECK(shows(live, "d 50 lb "));
    CHECK(std::stoi(tare()) % 50 == 0);
    CHECK(tare().ends_with("lb"));
    live.controls().take("o");
    CHECK(shows(live, "d 20 kg "));
}

TEST_CASE("what a wrong fault is told can be read in full, with the converter's faults", "[live]") {
    for (const std::string name : {"quarry-8", "elevator-10"}) {
        INFO(name);
        LiveBench bench(name, 100.0);
        bench.live().controls().take("fxyzzy cell=1\n");
        const std::vector<Happening> happenings = bench.yard().take_happenings();
        REQUIRE(!happenings.empty());
        const auto lines = panel_screen(bench.live(), happenings.back());
        check_fits(lines);
        std::string text = joined(lines);
        CHECK(text.find("...\n") == std::string::npos);
        text = std::regex_replace(text, std::regex("\n +"), " ");
        for (const std::string_view fault : files::converter_fault_words)
            CHECK(text.find(fault) != std::string::npos);
        CHECK(text.find("no fault: there is no 'xyzzy'; valid: a cause that") != std::string::npos);
        CHECK(text.find("up and down show all") != std::string::npos);
        CHECK(text.find("q quit\n") != std::string::npos);
    }
    LiveBench bench;
    bench.live().controls().take("fstuk\n");
    CHECK(bench.yard().take_happenings().back().text == "no fault: there is no 'stuk'; nearest: stuck");
}

TEST_CASE("that a cell's share is a guess can be read in full", "[live]") {
    files::ScaleFile file = cli::load_scale_or_stop(shipped_scale("harbour-8"));
    REQUIRE(file.description.converter == scale::Converter::per_cell);
    file.standard = "in-plant";
    Yard yard(file, cli::standard_or_stop(file), 1, {});
    LiveScale live(yard, {.pace = 100.0});
    yard.inject("open-wire cell=3 wire=S-");
    for (int i = 0; i < 1000; ++i) yard.frame();
    INFO(joined(panel_screen(live, {})));
    REQUIRE(yard.scale().indicator().readout().degraded);
    CHECK(shows(live, "cell lost: not for trade\n"));
}

TEST_CASE("large digits are five lines of letters that can be told apart", "[live]") {
    CHECK(large_digits("-1.0") == std::array<std::string, 5>{"        #      ###  ", "       ##     #   # ",
                                                             "#####   #     #   # ", "        #     #   # ",
                                                             "       ###  #  ###  "});
    std::set<std::array<std::string, 5>> pictures;
    for (const char sign : std::string("0123456789-. ")) pictures.insert(large_digits({&sign, 1}));
    CHECK(pictures.size() == 13);
}

TEST_CASE("weight, state, bars, corner check and lines out stand on the panel", "[live]") {
    LiveBench bench("quarry-8", 100.0);
    LiveScale& live = bench.live();
    CHECK(shows(live, "Quarry weighbridge"));
    CHECK(shows(live, "stable, zero"));
    CHECK(shows(live, "seal closed"));
    CHECK(shows(live, "Corner check  no round yet"));
    CHECK(shows(live, "console 127.0.0.1:" + std::to_string(live.console_port())));
    CHECK(shows(live, "Modbus " + std::to_string(live.modbus_port())));
    CHECK(shows(live, live.serial_path()));
    CHECK(shows(live, "[#...............]"));

    live.controls().take("2w");
    bench.pass(4.0);
    CHECK(shows(live, "> 2 W ["));
    CHECK(shows(live, "truly 8 580 kg"));
    const hal::PanelPicture& picture = bench.yard().scale().board().panel.picture();
    for (const std::string& row :
         large_digits(std::string_view(picture.digits.data(), picture.digits.size())))
        CHECK(shows(live, row));
    live.controls().take("t");
    bench.pass(1.0);
    CHECK(shows(live, "net, tare 8 "));

    live.controls().take("2w");
    live.controls().take("r");
    REQUIRE(bench.pump([&] { return !live.controls().walk().under_way(); }));
    CHECK(shows(live, "Corner check  corners alike"));
    bench.yard().inject("open-wire cell=4 wire=E+");
    bench.pass(5.0);
    CHECK(shows(live, "open-wire cell=4 wire=E+"));
}
