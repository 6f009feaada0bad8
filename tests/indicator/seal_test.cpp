#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "firmware/console/register_map.h"
#include "firmware/storage/audit.h"
#include "tests/console/random_lines.h"
#include "tests/indicator/indicator_bench.h"

using namespace cornerbench;

// What the seal protects, held over all that a line or a register can say: a command or a register that is
// added is in these tables, and so in here, without a word of this file being changed.

namespace {

/// A calibrated box with a channel per cell, and somebody who watches what is kept in it.
struct SealedBox {
    indicator_test::IndicatorBench bench{indicator_test::bench_settings(4)};
    storage::Kept before;
    int calibration_changes = 0;
    int configuration_changes = 0;

    explicit SealedBox(bool seal_open) {
        bench.calibrate();
        bench.weigh(0.0, 3.0);
        bench.board().supervisor.set_seal_open(seal_open);
        before = bench.indicator().kept();
    }

    /// One more line or write is through: lets it be stored and looks at what has become of the settings.
    void look(double seconds = 0.15) {
        bench.weigh(0.0, seconds);
        const storage::Kept now = bench.indicator().kept();
        REQUIRE(storage::may_follow(before, now));
        if (!storage::same_under_seal(before, now)) ++calibration_changes;
        if (now.unit != before.unit) ++configuration_changes;
        if (!bench.indicator().seal_open()) {
            REQUIRE(storage::same_under_seal(before, now));
            REQUIRE(before.calibration_changes == now.calibration_changes);
        }
        before = now;
    }

    /// The memory has what is in force.
    void restart() {
        const storage::Kept now = bench.indicator().kept();
        bench.restart();
        bench.weigh(0.0, 1.0);
        CHECK(storage::same_under_seal(bench.indicator().kept(), now));
        CHECK(bench.indicator().kept().calibration_changes == now.calibration_changes);
        CHECK(bench.indicator().kept().configuration_changes == now.configuration_changes);
    }
};

void send(SealedBox& box, console::Console& console, std::string_view bytes) {
    while (!bytes.empty()) {
        const std::size_t taken =
            console.receive({reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size()});
        bytes.remove_prefix(taken);
        for (int i = 0; i < 2000 && console.step(box.bench.board().clock.time_us()); ++i)
            console.sent(console.answers().size());
        console.sent(console.answers().size());
        if (taken == 0) box.bench.weigh(0.0, 0.01);
    }
}

/// Every way to spell a command that a header of the table has, without its parameters.
std::vector<std::string> spelt(std::string_view header) {
    std::vector<std::string> texts{""};
    for (std::size_t i = 0; i < header.size(); ++i) {
        if (header[i] == '[' || header[i] == ']') continue;
        if (header[i] == '<') {
            const std::vector<std::string> stems = texts;
            texts.clear();
            for (const std::string& stem : stems)
                for (const char* number : {"", "1", "4", "5"}) texts.push_back(stem + number);
            i += 2;
            continue;
        }
        for (std::string& text : texts) text += header[i];
    }
    return texts;
}

const std::vector<std::string> values{"0", "1", "1.05", "9.80", "9.81", "30000", "20 T", "LB", "KG", "MAX"};

/// Calls `take` with every command of the table and with every choice of values for its parameters.
template <class Take>
int every_command(const Take& take) {
    int commands = 0;
    for (const auto& group : console::command_groups())
        for (const console::Command& command : group) {
            ++commands;
            for (const std::string& header : spelt(command.header)) {
                if (command.least_parameters == 0) take(header + "\n");
                if (command.most_parameters == 0) continue;
                for (const std::string& first : values) {
                    take(header + " " + first + "\n");
                    if (command.most_parameters < 2) continue;
                    for (const std::string& second : values) take(header + " " + first + "," + second + "\n");
                }
            }
        }
    return commands;
}

}  // namespace

TEST_CASE("no command of the whole table changes what the seal protects while it is closed", "[indicator]") {
    SealedBox box(false);
    console::Console console{box.bench.indicator()};
    const int commands = every_command([&](const std::string& line) {
        INFO(line);
        send(box, console, line);
        box.look();
    });
    CHECK(commands >= 60);
    CHECK(box.calibration_changes == 0);
    CHECK(box.configuration_changes > 0);
    box.restart();
}

TEST_CASE("with the seal open every change of a command raises its counter, and none falls", "[indicator]") {
    SealedBox box(true);
    console::Console console{box.bench.indicator()};
    every_command([&](const std::string& line) {
        INFO(line);
        send(box, console, line);
        box.look();
    });
    CHECK(box.calibration_changes >= 4);
    CHECK(box.configuration_changes > 0);
    box.restart();
}

TEST_CASE("random lines change nothing under the seal", "[indicator]") {
    SealedBox box(false);
    console::Console console{box.bench.indicator()};
    console::testing::RandomLines lines(23);
    for (int i = 0; i < 1500; ++i) {
        const std::string line = lines.line() + "\n";
        INFO(line);
        send(box, console, line);
        box.look(0.05);
    }
    CHECK(box.calibration_changes == 0);
}

TEST_CASE("no register, coil or combination of them changes what the seal protects, open or closed",
          "[indicator]") {
    // 3F86 6666 is 1.05 in single precision, and 4416 0000 is 600 (IEEE 754).
    const std::vector<std::vector<std::uint16_t>> patterns{{0, 0, 0, 0},
                                                           {1, 0, 0, 0},
                                                           {0x3F86, 0x6666, 0x3F86, 0x6666},
                                                           {2, 0x4416, 0, 0},
                                                           {0xFFFF, 0xFFFF, 0xFFFF, 0xFFFF}};
    for (const bool open : {false, true}) {
        SealedBox box(open);
        console::RegisterMap map(box.bench.indicator());
        int taken = 0;
        for (unsigned address = 0; address <= 0xFFFF; ++address) {
            bool any = false;
            for (const auto& pattern : patterns)
                for (std::size_t words = 1; words <= pattern.size(); ++words)
                    any |= map.write(static_cast<std::uint16_t>(address), std::span(pattern).first(words))
                               .exception == console::Exception::none;
            for (const bool on : {false, true})
                any |= map.write_coil(static_cast<std::uint16_t>(address), on).exception ==
                       console::Exception::none;
            if (!any && address % 4096 != 0) continue;
            INFO(address);
            box.look();
            taken += any ? 1 : 0;
        }
        CHECK(taken > 4);
        CHECK(box.calibration_changes == 0);
        // Each command and each unit by itself, and every number that is none.
        for (unsigned value = 0; value <= 0xFFFF; value += value < 64 ? 1 : 251)
            for (const console::ActionRegisters& entry : console::writable_registers()) {
                INFO(entry.name << " " << value);
                const std::vector<std::uint16_t> words(static_cast<std::size_t>(entry.words),
                                                       static_cast<std::uint16_t>(value));
                (void)map.write(entry.address, words);
                box.look(0.03);
            }
        CHECK(box.calibration_changes == 0);
        box.restart();
    }
}

TEST_CASE("settings that were lost are not replaced by a new box's while the seal is closed", "[indicator]") {
    indicator_test::IndicatorBench bench;
    bench.calibrate();
    REQUIRE(bench.indicator().show_in(scale::MassUnit::tonne) == console::Refusal::none);
    bench.weigh(0.0, 0.5);
    const std::array<std::uint8_t, 8> zeroes{};
    for (std::uint32_t block = 0; block < 2; ++block)
        for (std::uint32_t offset = 16; offset + 368 <= 4096; offset += 368) {
            REQUIRE(bench.board().memory.start_program(block, offset, zeroes) == hal::Answer::done);
            bench.weigh(0.0, 0.1);
            REQUIRE(bench.board().memory.poll(bench.board().clock.time_us()) == hal::Answer::done);
        }
    REQUIRE(bench.board().memory.start_sync() == hal::Answer::done);
    bench.weigh(0.0, 0.1);
    REQUIRE(bench.board().memory.poll(bench.board().clock.time_us()) == hal::Answer::done);
    bench.restart();
    bench.weigh(0.0, 3.0);
    REQUIRE(bench.readout().why == weighing::NoWeight::settings_lost);
    const std::uint32_t calibrations = bench.indicator().calibration_changes();
    CHECK(calibrations >= 1);
    CHECK(bench.indicator().show_in(scale::MassUnit::pound) == console::Refusal::not_stored);
    bench.weigh(0.0, 1.0);
    bench.restart();
    bench.weigh(0.0, 3.0);
    CHECK(bench.readout().why == weighing::NoWeight::settings_lost);
    bench.calibrate();
    CHECK(bench.indicator().calibration_changes() > calibrations);
    bench.restart();
    bench.weigh(30'000.0, 3.0);
    CHECK(bench.readout().has_weight());
    CHECK(bench.indicator().calibration_changes() > calibrations);
}

TEST_CASE("a printed reading outlives a power cut", "[indicator]") {
    indicator_test::IndicatorBench bench;
    bench.calibrate();
    bench.weigh(12'340.0, 3.0);
    REQUIRE(bench.indicator().print() == console::Refusal::none);
    bench.weigh(0.0, 1.0);
    bench.restart();
    bench.weigh(0.0, 1.0);
    const storage::KeptReading& last = bench.indicator().kept().last_reading;
    CHECK(last.known);
    CHECK(last.ticket == 1);
    CHECK(last.gross == 12'340);
    CHECK(last.net == 12'340);
    CHECK(last.tare == 0);
    CHECK(last.unit == scale::MassUnit::kilogram);
    console::Console console{bench.indicator()};
    const std::string_view asked = "FETC:PRIN?\n";
    (void)console.receive({reinterpret_cast<const std::uint8_t*>(asked.data()), asked.size()});
    while (console.step(0)) continue;
    const auto answers = console.answers();
    CHECK(std::string(answers.begin(), answers.end()) == "1,12340,12340,0,KG\n");
}

TEST_CASE("what a cut came near is in force only when it is written once more, and stays", "[indicator]") {
    // Cut after so many milliseconds of a save that counts a change, at every one of them.
    int old_ones = 0;
    int new_ones = 0;
    for (int frames = 0; frames < 14; ++frames)
        for (std::uint64_t seed = 1; seed <= 6; ++seed) {
            indicator_test::IndicatorBench bench;
            bench.calibrate();
            bench.board().supervisor.set_seal_open(true);
            REQUIRE(bench.indicator().move_gravity(9.80, 9.81) == console::Refusal::none);
            bench.weigh(0.0, 0.01 * frames);
            bench.restart(seed);
            bench.weigh(30'000.0, 3.0);
            const std::uint32_t changes = bench.indicator().calibration_changes();
            REQUIRE(bench.readout().has_weight());
            REQUIRE((changes == 1 || changes == 2));
            // 30 000 kg at 9.80 m/s2 are 30 000 * 9.80 / 9.81 at 9.81: the weight tells which one is in
            // force.
            CHECK(bench.readout().gross.digits == (changes == 1 ? 30'000 : 29'960));
            (changes == 1 ? old_ones : new_ones) += 1;
            for (int start = 0; start < 2; ++start) {
                bench.restart(seed + 100);
                bench.weigh(30'000.0, 1.0);
                CHECK(bench.indicator().calibration_changes() == changes);
            }
        }
    CHECK(old_ones > 5);
    CHECK(new_ones > 5);
}
