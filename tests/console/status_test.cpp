#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <string>

#include "tests/console/conversation.h"

using namespace cornerbench;
using namespace cornerbench::console;
using console::testing::Conversation;

TEST_CASE("Errors come first in, first out, and the last place tells of an overflow", "[console]") {
    // SCPI-99, volume 2, 21.8.1 (from memory).
    Conversation talk;
    CHECK(talk.ask("SYST:ERR?") == "0,\"No error\"");
    talk.ask("FOO");
    talk.ask("*ESE 999");
    CHECK(talk.ask("SYST:ERR:COUN?") == "2");
    CHECK(talk.ask("SYST:ERR:NEXT?") == "-113,\"Undefined header;FOO\"");
    CHECK(talk.ask("SYST:ERR?") == "-222,\"Data out of range;0 to 255;*ESE 999\"");
    CHECK(talk.ask("SYST:ERR?") == "0,\"No error\"");
    for (int i = 0; i < 40; ++i) talk.ask("FOO");
    CHECK(talk.ask("SYST:ERR:COUN?") == "16");
    for (int i = 0; i < 15; ++i) CHECK(talk.error() == -113);
    CHECK(talk.ask("SYST:ERR?") == "-350,\"Queue overflow\"");
    CHECK(talk.error() == 0);
    talk.ask("FOO;BAR");
    talk.ask("*CLS");
    CHECK(talk.error() == 0);
}

TEST_CASE("What an error repeats of a line cannot end the string it is told in", "[console]") {
    Conversation talk;
    talk.ask("TARE:PRES \"5\"");
    const std::string error = talk.ask("SYST:ERR?");
    CHECK(std::count(error.begin(), error.end(), '"') == 2);
    CHECK(error.find("TARE:PRES '5'") != std::string::npos);
}

TEST_CASE("Each family of errors has its bit in the event register", "[console]") {
    // IEEE 488.2 (1992), 11.5.1: power on 128, command 32, execution 16, device 8, query 4, complete 1 (from
    // memory).
    Conversation talk;
    CHECK(talk.ask("*ESR?") == "128");
    CHECK(talk.ask("*ESR?") == "0");
    talk.ask("FOO");
    CHECK(talk.ask("*ESR?") == "32");
    talk.ask("*ESE 999");
    CHECK(talk.ask("*ESR?") == "16");
    talk.ask(std::string(300, 'A'));
    CHECK(talk.ask("*ESR?") == "8");
    talk.ask("*OPC");
    CHECK(talk.ask("*ESR?") == "1");
}

TEST_CASE("The status byte sums up what is enabled", "[console]") {
    // IEEE 488.2 (1992), 11.2 and 11.3; SCPI-99, volume 1, 9: error queue 4, questionable 8, message 16,
    // event 32, request 64, operation 128 (from memory).
    Conversation talk;
    talk.ask("*CLS");
    CHECK(talk.ask("*STB?") == "0");
    talk.ask("FOO");
    CHECK(talk.ask("*STB?") == "4");
    talk.ask("*ESE 32;*SRE 32");
    CHECK(talk.ask("*STB?") == std::to_string(4 + 32 + 64));
    talk.ask("*SRE 255");
    CHECK(talk.ask("*SRE?") == "191");
    talk.ask("*CLS;*SRE 0");
    CHECK(talk.ask("*STB?") == "0");
    CHECK(talk.ask("*ESE?;*STB?") == "32;16");
    talk.ask("STAT:QUES:ENAB 512");
    talk.instrument.lose(weighing::NoWeight::samples_stale);
    CHECK(talk.ask("*STB?") == "8");
    // An event stays after its condition went, until it is read.
    talk.instrument.weigh(0, 0);
    CHECK(talk.ask("*STB?") == "8");
    CHECK(talk.ask("STAT:QUES:COND?") == "0");
    CHECK(talk.ask("STAT:QUES?") == std::to_string(512 + 4096));
    CHECK(talk.ask("STAT:QUES:EVEN?") == "0");
    CHECK(talk.ask("*STB?") == "0");
    talk.ask("STAT:OPER:ENAB 1024");
    talk.instrument.now.tare_kind = weighing::TareKind::weighed;
    CHECK(talk.ask("*STB?") == "128");
    talk.ask("STAT:PRES");
    CHECK(talk.ask("STAT:OPER:ENAB?;:STAT:QUES:ENAB?") == "0;0");
}

TEST_CASE("Bit 15 of a SCPI register is never used", "[console]") {
    // SCPI-99, volume 2, 20.1.3 (from memory).
    Conversation talk;
    talk.ask("STAT:OPER:ENAB 65535");
    CHECK(talk.ask("STAT:OPER:ENAB?") == "32767");
    talk.ask("STAT:OPER:ENAB #HF0");
    CHECK(talk.ask("STAT:OPER:ENAB?") == "240");
    talk.ask("STAT:OPER:ENAB 65536");
    CHECK(talk.error() == -222);
}

TEST_CASE("Conditions are those of the instrument", "[console]") {
    Conversation talk;
    const auto operation = [&talk] { return std::stoi(talk.ask("STAT:OPER:COND?")); };
    const auto questionable = [&talk] { return std::stoi(talk.ask("STAT:QUES:COND?")); };
    CHECK(operation() == 16);
    CHECK(questionable() == 0);
    talk.instrument.now.stable = false;
    CHECK(operation() == 16 + 256);
    talk.instrument.now.stable = talk.instrument.now.at_zero = true;
    talk.instrument.points = 1;
    CHECK(operation() == 16 + 512 + 1);
    talk.instrument.storing_now = talk.instrument.open_seal = true;
    CHECK(operation() == 16 + 512 + 1 + 2048 + 4096);
    talk.instrument.now.degraded = true;
    CHECK(talk.ask("*TST?") == "1");
    CHECK(questionable() == 2048);
    // Without a weight nothing is said of one.
    talk.instrument.lose(weighing::NoWeight::settling);
    CHECK(operation() == 2 + 1 + 2048 + 4096);
    CHECK(questionable() == 512);
    talk.instrument.lose(weighing::NoWeight::not_calibrated);
    talk.instrument.calibrated_now = false;
    CHECK(questionable() == 512 + 256);
    for (int i = 1; i <= static_cast<int>(weighing::NoWeight::cell_unloaded); ++i) {
        talk.instrument.lose(static_cast<weighing::NoWeight>(i));
        CHECK((questionable() & 512) != 0);
    }
}

TEST_CASE("The self-test tells a fault from a load and from a missing calibration", "[console]") {
    Conversation talk;
    CHECK(talk.ask("*TST?") == "0");
    talk.instrument.lose(weighing::NoWeight::over_range);
    CHECK(talk.ask("*TST?") == "0");
    talk.instrument.lose(weighing::NoWeight::not_calibrated);
    CHECK(talk.ask("*TST?") == "0");
    talk.instrument.lose(weighing::NoWeight::reference_missing);
    CHECK(talk.ask("*TST?") == "1");
    talk.instrument.lose(weighing::NoWeight::settings_lost);
    CHECK(talk.ask("*TST?") == "1");
}

TEST_CASE("What waits for storing goes on when it is over, or after ten seconds", "[console]") {
    // IEEE 488.2 (1992), 12.5: *OPC, *OPC? and *WAI (from memory).
    Conversation talk;
    talk.ask("*CLS");
    talk.instrument.storing_now = true;
    CHECK(talk.ask("*OPC;*ESR?") == "0");
    CHECK(talk.ask("*ESE?;*OPC?;*SRE?").empty());
    CHECK(talk.console.receive(std::array<std::uint8_t, 1>{'A'}) == 0);
    talk.now_us += 9'999'999;
    CHECK_FALSE(talk.console.step(talk.now_us));
    talk.instrument.storing_now = false;
    while (talk.console.step(talk.now_us)) continue;
    CHECK(talk.take() == "0;1;0\n");
    CHECK(talk.ask("*ESR?") == "1");
    talk.instrument.storing_now = true;
    talk.ask("*WAI;*ESE?");
    talk.now_us += 10'000'000;
    while (talk.console.step(talk.now_us)) continue;
    CHECK(talk.take() == "0\n");
    CHECK(talk.error() == -365);
}
