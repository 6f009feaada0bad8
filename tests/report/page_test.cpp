#include <catch2/catch.hpp>
#include <sstream>

#include "sim/report/deck_map.h"
#include "sim/report/json_document.h"
#include "sim/report/table.h"

using namespace cornerbench::report;

namespace {

std::vector<std::string> lines_of(const std::string& text) {
    std::istringstream stream(text);
    std::vector<std::string> lines;
    for (std::string line; std::getline(stream, line);) lines.push_back(line);
    return lines;
}

}  // namespace

TEST_CASE("columns line up whatever the letters weigh, and colours take no room", "[report]") {
    Table table;
    table.column("what").column("value", Align::right);
    table.row({{"Öhe", Tone::bad}, {"10 000", Tone::plain}});
    table.row({{"b", Tone::plain}, {"-5", Tone::good}});
    std::ostringstream plain;
    table.print(plain, {false}, 0);
    CHECK(plain.str() ==
          "what   value\n"
          "Öhe   10 000\n"
          "b         -5\n");
    std::ostringstream coloured;
    table.print(coloured, {true}, 0);
    std::string text = coloured.str();
    for (std::size_t at = text.find('\x1b'); at != std::string::npos; at = text.find('\x1b')) {
        text.erase(at, text.find('m', at) - at + 1);
    }
    CHECK(text == plain.str());
    CHECK(coloured.str() != plain.str());
}

TEST_CASE("a table too wide for the page breaks its words and keeps its numbers whole", "[report]") {
    Table table;
    table.column("reading").column("value", Align::right).column("", Align::right);
    table.row({{"cell 2 signal, 11 000 kg over 2, taken after the rain and once more"},
               {"-1 234 567.8 kg"},
               {"as it should be"}});
    table.row({{"empty"}, {"0 kg"}, {"-0.5"}});
    std::ostringstream out;
    table.print(out, {false}, 2);
    CHECK(out.str() ==
          "  reading                                                 value\n"
          "  cell 2 signal, 11 000 kg over 2, taken after  -1 234 567.8 kg  as it should be\n"
          "    the rain and once more\n"
          "  empty                                                    0 kg             -0.5\n");

    // 24 blanks, two numbers, three gaps: 20 columns are left for the words on both sides.
    Table narrow;
    narrow.column("").column("", Align::right).column("", Align::right).column("", Align::right);
    const std::string number = "-1 234 567.8 kg";
    narrow.row({{"resistance E+ to shield of cell 10"}, {number}, {number}, {"as it should be"}});
    std::ostringstream tight;
    narrow.print(tight, {false}, 24);
    const auto lines = lines_of(tight.str());
    CHECK(lines.size() > 3);
    for (const auto& line : lines) CHECK(display_width(line) <= page_width);
    CHECK(lines[1].find(number + "  " + number) != std::string::npos);
    CHECK(tight.str().find("as it should be") == std::string::npos);
}

TEST_CASE("text is broken at the page's edge and keeps its words", "[report]") {
    std::string text;
    for (int i = 0; i < 60; ++i) text += "word" + std::to_string(i) + " ";
    std::ostringstream out;
    print_wrapped(out, text, 4);
    const auto lines = lines_of(out.str());
    CHECK(lines.size() > 4);
    for (const auto& line : lines) {
        CHECK(display_width(line) <= page_width);
        CHECK(line.find("    word") == 0);
    }
}

TEST_CASE("the far row is on top and supports go round clockwise", "[report]") {
    // Numbering clockwise from the far left: common practice, no source.
    std::vector<MapCorner> corners(8);
    for (int i = 0; i < 8; ++i) corners[static_cast<std::size_t>(i)].lines = {std::to_string(100 * (i + 1))};
    std::ostringstream out;
    print_deck_map(out, 4, corners, {false});
    const auto lines = lines_of(out.str());
    REQUIRE(lines.size() == 7);
    const auto order = [](const std::string& line, std::initializer_list<const char*> words) {
        std::size_t from = 0;
        for (const char* word : words) {
            from = line.find(word, from);
            if (from == std::string::npos) return false;
        }
        return true;
    };
    CHECK(order(lines[0], {"100", "200", "300", "400"}));
    CHECK(order(lines[1], {"far", "(1)", "(2)", "(3)", "(4)"}));
    CHECK(order(lines[5], {"near", "(8)", "(7)", "(6)", "(5)"}));
    CHECK(order(lines[6], {"800", "700", "600", "500"}));
    for (const auto& line : lines) CHECK(display_width(line) <= page_width);

    std::vector<MapCorner> sixteen(16);
    for (auto& corner : sixteen) corner.lines = {"100 000", "-12.5 d !"};
    std::ostringstream wide;
    print_deck_map(wide, 8, sixteen, {false});
    for (const auto& line : lines_of(wide.str())) CHECK(display_width(line) <= page_width);
}

TEST_CASE("a JSON document says its schema first and survives broken text", "[report]") {
    Json document = json_document();
    document["name"] = "broken \xff text";
    std::ostringstream out;
    print_json(out, document);
    const auto back = nlohmann::json::parse(out.str());
    CHECK(back["schema"] == 1);
    CHECK(out.str().find("\"schema\"") < out.str().find("\"name\""));
}
