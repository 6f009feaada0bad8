#include <array>
#include <bit>
#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "firmware/console/console.h"
#include "firmware/console/register_map.h"
#include "tests/indicator/indicator_bench.h"

using namespace cornerbench;

namespace {

/// A real indicator and somebody at its console.
struct Desk {
    indicator_test::IndicatorBench bench;
    console::Console console{bench.indicator()};
    console::RegisterMap registers{bench.indicator()};

    std::string ask(const std::string& line) {
        const std::string bytes = line + "\n";
        std::size_t taken = 0;
        std::string answer;
        // Frames go on while the console waits for the memory.
        for (int i = 0; i < 1000; ++i) {
            taken += console.receive(
                {reinterpret_cast<const std::uint8_t*>(bytes.data()) + taken, bytes.size() - taken});
            while (console.step(10'000 * i)) continue;
            const auto waiting = console.answers();
            answer.append(waiting.begin(), waiting.end());
            console.sent(waiting.size());
            if (!answer.empty() || line.find('?') == std::string::npos) break;
            bench.one_frame(load_kg);
        }
        while (!answer.empty() && answer.back() == '\n') answer.pop_back();
        return answer;
    }

    void put(double kg) {
        load_kg = kg;
        bench.weigh(kg, 4.0);
    }

    double load_kg = 0.0;
};

}  // namespace

TEST_CASE("A real indicator is calibrated and read by lines and registers alone", "[console]") {
    Desk desk;
    desk.put(0.0);
    CHECK(desk.ask("MEAS?") == "9.91E+37");
    CHECK(desk.ask("MEAS:STAT?") == "15,\"not calibrated\",0");
    desk.ask("CAL:POIN 0");
    CHECK(desk.ask("SYST:ERR?") == "-203,\"Command protected;calibration sealed\"");

    desk.bench.board().supervisor.set_seal_open(true);
    desk.ask("CAL:POIN 0");
    desk.put(30000.0);
    desk.ask("CAL:POIN 30 T");
    CHECK(desk.ask("CAL:STOR;*OPC?") == "1");
    CHECK(desk.ask("SYST:ERR?") == "0,\"No error\"");
    CHECK(desk.ask("CAL:COUN?") == "1");
    desk.bench.board().supervisor.set_seal_open(false);

    desk.put(14220.0);
    CHECK(desk.ask("MEAS?") == "14220");
    desk.ask("TARE");
    desk.put(20000.0);
    CHECK(desk.ask("MEAS:NET?;TARE?;GROS?") == "5780;14220;20000");
    desk.ask("UNIT T");
    desk.put(20000.0);
    CHECK(desk.ask("MEAS?;:UNIT?") == "20.00;T");
    CHECK(desk.ask("SYST:ERR?") == "0,\"No error\"");

    std::vector<std::uint16_t> block(12);
    REQUIRE(desk.registers.read(0, block) == console::Exception::none);
    CHECK(block == std::vector<std::uint16_t>{1, 1, 0, 0, 1, 2, 0, 2000, 0, 578, 0, 1422});
    REQUIRE(desk.registers.write_coil(2, true).exception == console::Exception::none);
    REQUIRE(desk.registers.read(0, block) == console::Exception::none);
    CHECK(block == std::vector<std::uint16_t>{1, 1, 0, 0, 1, 2, 0, 2000, 0, 2000, 0, 0});

    // SCPI-99, volume 2, 21.8 (from memory): -222 is for a legal element that is out of its range. That a
    // preset tare of 0 clears the tare is common practice, no source.
    for (const bool by_register : {false, true}) {
        const auto preset = [&](float kg) {
            const auto bits = std::bit_cast<std::uint32_t>(kg);
            const std::array<std::uint16_t, 2> words{static_cast<std::uint16_t>(bits >> 16),
                                                     static_cast<std::uint16_t>(bits)};
            if (by_register) return static_cast<int>(desk.registers.write(514, words).refusal);
            desk.ask("TARE:PRES " + std::to_string(kg) + " KG");
            return std::stoi(desk.ask("SYST:ERR?"));
        };
        using console::Refusal;
        CHECK(preset(1500.0f) == 0);
        CHECK(desk.ask("MEAS:TARE?") == "1.50");
        CHECK(preset(-500.0f) == (by_register ? static_cast<int>(Refusal::out_of_range) : -222));
        CHECK(preset(1.0e6f) == (by_register ? static_cast<int>(Refusal::out_of_range) : -222));
        CHECK(preset(5.0f) == (by_register ? static_cast<int>(Refusal::not_positive) : -200));
        CHECK(desk.ask("MEAS:TARE?") == "1.50");
        CHECK(preset(0.0f) == 0);
        CHECK(desk.ask("MEAS:TARE?") == "0.00");
        CHECK(desk.bench.indicator().readout().tare_kind == weighing::TareKind::none);
    }
    desk.ask("TARE:PRES -500");
    CHECK(desk.ask("SYST:ERR?").starts_with("-222,\"Data out of range;0 to the largest tare"));
    desk.ask("TARE:PRES MAX;PRES MIN");
    CHECK(desk.ask("SYST:ERR?") == "0,\"No error\"");
    CHECK(desk.ask("MEAS:TARE?") == "0.00");

    // A load that is still moving.
    desk.bench.weigh(9000.0, 0.2);
    desk.ask("TARE");
    const std::string error = desk.ask("SYST:ERR?");
    INFO(error);
    CHECK(std::stoi(error) <= -200);
}
