#include <catch2/catch.hpp>
#include <fstream>
#include <set>
#include <sstream>
#include <string>

#include "firmware/console/command.h"
#include "firmware/console/register_table.h"
#include "firmware/diagnosis/corner_report.h"
#include "tests/console/conversation.h"

using namespace cornerbench;
using namespace cornerbench::console;

namespace {

std::string page(const std::string& name) {
    std::ifstream stream(std::string(CORNERBENCH_SOURCE_DIR) + "/firmware/console/" + name);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

/// Begins of table rows, cut behind the `cells`-th cell.
std::multiset<std::string> rows(const std::string& page, int cells) {
    std::multiset<std::string> found;
    std::istringstream lines(page);
    for (std::string line; std::getline(lines, line);) {
        if (!line.starts_with("| ")) continue;
        std::size_t end = 0;
        for (int i = 0; i < cells && end != std::string::npos; ++i) end = line.find(" |", end + 1);
        if (end != std::string::npos) found.insert(line.substr(0, end + 2));
    }
    return found;
}

std::string row(const std::string& a, std::string_view b) {
    return "| " + a + " | " + (b.empty() ? "|" : std::string(b) + " |");
}

}  // namespace

TEST_CASE("COMMANDS.md has every header, and no other", "[console]") {
    const std::multiset<std::string> written = rows(page("COMMANDS.md"), 1);
    std::set<std::string> known;
    for (const auto& group : command_groups())
        for (const Command& command : group) known.insert("| `" + std::string(command.header) + "` |");
    for (const std::string& header : known) {
        INFO(header);
        CHECK(written.count(header) == 1);
    }
    for (const std::string& header : written) {
        INFO(header);
        CHECK((!header.starts_with("| `") || known.contains(header)));
    }
}

TEST_CASE("REGISTERS.md has every register, and no other", "[console]") {
    const std::multiset<std::string> written = rows(page("REGISTERS.md"), 3);
    std::set<std::string> known;
    for (const Register& entry : readable_registers()) {
        std::string address = std::to_string(entry.address);
        if (entry.times > 1)
            address += " + " + std::to_string(entry.stride) + " i, i < " + std::to_string(entry.times);
        known.insert(row(address, name_of(entry.coding)) + " " + std::string(entry.name) + " |");
    }
    for (const ActionRegisters& entry : writable_registers())
        known.insert(row(std::to_string(entry.address), std::to_string(entry.words)) + " " +
                     std::string(entry.name) + " |");
    for (int i = 0; i < coil_count; ++i)
        known.insert(row(std::to_string(i), std::to_string(i + 1)) + " " +
                     std::string(name_of(static_cast<KeyCommand>(i + 1))) + " |");
    for (const std::string& entry : known) {
        INFO(entry);
        CHECK(written.count(entry) == 1);
    }
    for (const std::string& entry : written) {
        INFO(entry);
        const bool of_numbers = entry.size() > 2 && entry[2] >= '0' && entry[2] <= '9';
        CHECK((!of_numbers || known.contains(entry)));
    }
}

TEST_CASE("REGISTERS.md has every number that means something", "[console]") {
    const std::multiset<std::string> written = rows(page("REGISTERS.md"), 2);
    const auto check = [&written](int number, std::string_view meaning) {
        const std::string expected = row(std::to_string(number), meaning);
        INFO(expected);
        CHECK(written.count(expected) == 1);
    };
    for (int i = 0; i <= static_cast<int>(weighing::NoWeight::cell_unloaded); ++i)
        check(i, weighing::words(static_cast<weighing::NoWeight>(i)));
    for (int i = 0; i <= static_cast<int>(Refusal::not_stored); ++i) check(i, words(static_cast<Refusal>(i)));
    for (int i = 0; i <= static_cast<int>(diagnosis::CornerError::not_solvable); ++i)
        check(i, diagnosis::text_of(static_cast<diagnosis::CornerError>(i)));
    for (int i = 0; i <= static_cast<int>(diagnosis::CornerFindingKind::unexplained); ++i)
        check(i + 1, diagnosis::text_of(static_cast<diagnosis::CornerFindingKind>(i)));
    for (int i = 0; i <= static_cast<int>(watch::NumberKind::zero_moved); ++i)
        check(i + 1, watch::words(static_cast<watch::NumberKind>(i)));
}

TEST_CASE("The list of headers is a block with every header", "[console]") {
    // IEEE 488.2 (1992), 8.7.9: '#', how many digits, length, bytes (from memory).
    testing::Conversation talk;
    std::string expected;
    for (const auto& group : command_groups())
        for (const Command& command : group) expected += std::string(command.header) + "\n";
    const std::string length = std::to_string(expected.size());
    CHECK(talk.send("HELP:HEAD?\n") == "#" + std::to_string(length.size()) + length + expected + "\n");
    CHECK(talk.send("SYST:HELP:HEAD?\n").size() < answer_room);
}
