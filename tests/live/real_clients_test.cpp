#include <catch2/catch.hpp>
#include <map>

#include "tests/live/outside_clients.h"

using namespace cornerbench;
using namespace cornerbench::live::testing;

namespace {

void put_weight(LiveBench& bench, int support) {
    bench.yard().move_weight(support);
    bench.pass(4.0);
    REQUIRE(bench.indicator().readout().has_weight());
    REQUIRE(bench.indicator().readout().stable);
}

}  // namespace

TEST_CASE("lxi-tools identify, read, zero and tare the scale over the raw console", "[live]") {
    if (missing("lxi")) return;
    LiveBench bench;
    const Lxi lxi{bench};
    CHECK(lxi.ask("*IDN?") == identity());
    CHECK(lxi.ask("SYST:VERS?") == "1999.0");
    CHECK(lxi.ask("SYST:ERR?") == "0,\"No error\"");
    CHECK(lxi.ask("*TST?;*STB?") == "0;16");

    put_weight(bench, 2);
    const std::string shown = std::to_string(bench.indicator().readout().gross.digits);
    CHECK(lxi.ask("MEAS?") == shown);
    CHECK(lxi.ask("TARE;:MEAS:NET?;TARE?;:SYST:ERR?") == "0;" + shown + ";0,\"No error\"");
    CHECK(lxi.ask("TARE:CLE;:MEAS:NET?") == shown);

    // Too much for a zero: R 76-1:2006, 4.5.1, 4 % of Max; refused with the standard's number.
    CHECK(lxi.ask("ZERO;:SYST:ERR?") == "-222,\"Data out of range;out of range\"");
    CHECK(lxi.ask("CAL:SEAL?") == "CLOSED");
    CHECK(lxi.ask("CAL:STOR;:SYST:ERR?") == "-203,\"Command protected;calibration sealed\"");
    CHECK(lxi.ask("STAT:QUES:COND?") == "0");
    bench.yard().move_weight(2);
    bench.pass(4.0);
    CHECK(lxi.ask("ZERO;:SYST:ERR?;:MEAS?") == "0,\"No error\";0");
}

TEST_CASE("lxi-tools calibrate the scale when the seal is open", "[live]") {
    if (missing("lxi")) return;
    LiveBench bench;
    const Lxi lxi{bench};
    CHECK(lxi.ask("CAL:COUN?") == "1");
    const std::string before = lxi.ask("CAL:COEF?");
    bench.yard().switch_seal();
    bench.pass(1.0);
    CHECK(lxi.ask("CAL:SEAL?") == "OPEN");
    CHECK(lxi.ask("CAL:POIN 0;:SYST:ERR?") == "0,\"No error\"");
    put_weight(bench, 2);
    // As if the weight were heavier: from then on it reads so.
    CHECK(lxi.ask("CAL:POIN 9 T;POIN:COUN?;:SYST:ERR?") == "2;0,\"No error\"");
    CHECK(lxi.ask("CAL:STOR;*OPC?;:SYST:ERR?") == "1;0,\"No error\"");
    CHECK(lxi.ask("CAL:COUN?") == "2");
    CHECK(lxi.ask("CAL:COEF?") != before);
    bench.pass(3.0);
    CHECK(lxi.ask("MEAS?") == "9000");
}

TEST_CASE("mbpoll reads what the firmware shows, presses keys and is refused by the standard's codes",
          "[live]") {
    if (missing("mbpoll")) return;
    LiveBench bench;
    const Mbpoll mbpoll{bench};
    put_weight(bench, 5);
    const weighing::Readout readout = bench.indicator().readout();

    const auto head = mbpoll.read("4", 0, 6);
    CHECK(head.at(0) == 1);
    CHECK(head.at(1) == 1);
    CHECK(head.at(2) == 0);
    CHECK(head.at(4) == 0);
    CHECK(head.at(5) == 0);
    CHECK(mbpoll.read("4:int", 6, 1).at(6) == static_cast<double>(readout.gross.digits));
    CHECK(mbpoll.read("3:int", 8, 1).at(8) == static_cast<double>(readout.net.digits));
    CHECK(mbpoll.read("3:float", 22, 2).at(22) == 60'000.0);
    CHECK(mbpoll.read("3:float", 22, 2).at(24) == 20.0);
    // REGISTERS.md: 16 is bit 4 of the operation condition, there is a weight.
    CHECK(mbpoll.read("1", 4, 1).at(4) == 1);
    CHECK(mbpoll.read("0", 0, 5).at(0) == 0);

    CHECK(mbpoll.run({"-t", "0", "-r", "1", "127.0.0.1", "1"}).code == 0);
    bench.pass(0.5);
    CHECK(mbpoll.read("4:int", 8, 1).at(8) == 0);
    CHECK(mbpoll.read("4:int", 10, 1).at(10) == static_cast<double>(readout.gross.digits));
    CHECK(mbpoll.run({"-t", "0", "-r", "2", "127.0.0.1", "1"}).code == 0);
    CHECK(mbpoll.run({"-t", "4", "-r", "513", "127.0.0.1", "1"}).code == 0);
    bench.pass(0.5);
    CHECK(mbpoll.read("4", 4, 2).at(4) == 1);

    // What the exceptions are called is libmodbus's business; the codes are those of V1.1b3, 7 (from memory).
    CHECK(mbpoll.run({"-t", "4", "-r", "304", "127.0.0.1"}).says("Illegal data address"));
    CHECK(mbpoll.run({"-t", "0", "-r", "5", "127.0.0.1", "1"}).says("Illegal data address"));
    CHECK(mbpoll.run({"-t", "4", "-r", "512", "127.0.0.1", "77"}).says("Illegal data value"));
    // The zero key with a truck's weight on the deck.
    CHECK(mbpoll.run({"-t", "0", "-r", "0", "127.0.0.1", "1"}).says("Illegal data value"));
    CHECK(mbpoll.read("4", 42, 1).at(42) == 3);
    CHECK(mbpoll.read("4", 34, 2).at(35) == 1);
}

TEST_CASE("console, registers and panel tell of the same corner round, made by the firmware", "[live]") {
    LiveBench bench("quarry-8", 200.0);
    bench.yard().inject("weak-output cell=4 ratio=0.98");
    bench.live().controls().take("r");
    REQUIRE(bench.live().controls().walk().under_way());
    REQUIRE(bench.pump([&] { return !bench.live().controls().walk().under_way(); }));
    const diagnosis::CornerReport& report = bench.indicator().corner_report();
    REQUIRE(report.count == 1);
    CHECK(report.findings[0].place == scale::Site{scale::SiteKind::support, 3, 0});
    if (missing("lxi") || missing("mbpoll")) return;
    CHECK(Lxi{bench}.ask("CORN:CHEC?").starts_with("NOT_ALIKE,\"\",0,0,1,CARRIES_LESS,SUPPORT,4,0,"));
    const Mbpoll mbpoll{bench};
    CHECK(mbpoll.read("3", 128, 3) == std::map<int, double>{{128, 0}, {129, 1}, {130, 1}});
    CHECK(mbpoll.read("3", 144, 3) == std::map<int, double>{{144, 3}, {145, 3}, {146, 4}});
}
