#include "firmware/console/console.h"

#include <catch2/catch.hpp>
#include <string>

#include "tests/console/conversation.h"

using namespace cornerbench;
using namespace cornerbench::console;
using console::testing::Conversation;

TEST_CASE("An instrument says who it is in four fields", "[console]") {
    // IEEE 488.2 (1992), 10.14 (from memory).
    Conversation talk;
    CHECK(talk.ask("*IDN?") == "cornerbench,box,17,1.2");
    CHECK(talk.ask("*idn?") == "cornerbench,box,17,1.2");
    CHECK(talk.send("*IDN?\r\n") == "cornerbench,box,17,1.2\n");
    CHECK(talk.ask("SYST:VERS?") == "1999.0");
    CHECK(talk.ask("SYST:HASH?") == "#H0123456789ABCDEF");
}

TEST_CASE("Answers to one line are joined with semicolons and end with one newline", "[console]") {
    // IEEE 488.2 (1992), 8.3 and 8.4 (from memory).
    Conversation talk;
    CHECK(talk.send("*ESE 5;*ESE?;*SRE?;*ESE?\n") == "5;0;5\n");
    CHECK(talk.send("*ESE 7\n").empty());
    CHECK(talk.send("\n\r\n  \n").empty());
    CHECK(talk.send("*ESE?\n*SRE?\n") == "7\n0\n");
    // A query that fails leaves no empty place.
    CHECK(talk.send("*ESE?;CHAN9:RAT?;*SRE?\n") == "7\n");
    CHECK(talk.error() == -114);
}

TEST_CASE("The weight is told with the digits that are shown", "[console]") {
    Conversation talk;
    talk.instrument.weigh(-142, 3);
    CHECK(talk.ask("MEAS?") == "-0.142");
    CHECK(talk.ask("FETC?") == "2,-0.142,-0.142,0.000,KG,NONE,1,0,0,0,\"\",0");
    talk.instrument.now.unit = scale::MassUnit::pound;
    CHECK(talk.ask("UNIT?") == "LB");
}

TEST_CASE("Without a weight there is SCPI's not-a-number, and why", "[console]") {
    // SCPI-99, volume 1, 7.2.1.5 (from memory): 9.91E37.
    Conversation talk;
    talk.instrument.lose(weighing::NoWeight::saturated, 2);
    for (const char* query : {"MEAS?", "MEAS:NET?", "MEAS:TARE?"}) {
        INFO(query);
        CHECK(std::stod(talk.ask(query)) == 9.91e37);
    }
    CHECK(talk.ask("MEAS:STAT?") == "2,\"signal out of range\",3");
    CHECK((std::stoi(talk.ask("STAT:QUES:COND?")) & (1 << 9)) != 0);
    CHECK(talk.error() == 0);
}

TEST_CASE("Keys act, and say why when they cannot", "[console]") {
    Conversation talk;
    talk.ask("ZERO");
    talk.ask("TARE");
    talk.ask("TARE:CLE");
    CHECK(talk.instrument.zeros == 1);
    CHECK(talk.instrument.tares == 1);
    CHECK(talk.instrument.tare_clears == 1);
    CHECK(talk.ask("SYST:ERR?") == "0,\"No error\"");
    talk.instrument.key_answer = Refusal::not_stable;
    talk.ask("ZERO");
    CHECK(talk.ask("SYST:ERR?") == "-200,\"Execution error;not stable\"");
    // Every reason has a number of the standard, and our words behind it.
    for (int i = 1; i <= static_cast<int>(Refusal::not_stored); ++i) {
        talk.instrument.key_answer = static_cast<Refusal>(i);
        talk.ask("ZERO");
        const std::string error = talk.ask("SYST:ERR?");
        INFO(error);
        CHECK(std::stoi(error) <= -200);
        CHECK(error.find(std::string(words(static_cast<Refusal>(i)))) != std::string::npos);
        CHECK(error.find("Device-specific error;") == std::string::npos);
    }
}

// OIML R 76-1:2006, 3.2 (from memory): a scale interval is 1, 2 or 5 times a power of ten in the unit it is
// shown in. 20 kg are 44.09 lb, so that the next coarser one is 50 lb.
TEST_CASE("The division told is the one that weights are shown by, in every unit", "[console]") {
    Conversation talk;
    const auto division = [&talk] {
        const std::string answer = talk.ask("MEAS:RANG?");
        return std::stod(answer.substr(answer.find(',') + 1));
    };
    CHECK(division() == 20.0);
    talk.ask("UNIT LB");
    CHECK(division() == 50.0);
    talk.ask("UNIT T");
    CHECK(division() == 0.02);
}

TEST_CASE("A mass is taken in the unit shown, or in its own", "[console]") {
    Conversation talk;
    const auto preset = [&talk](const std::string& mass) {
        talk.ask("TARE:PRES " + mass);
        CHECK(talk.error() == 0);
        return talk.instrument.preset_kg;
    };
    CHECK(preset("120") == 120.0);
    CHECK(preset("1.2E2 KG") == 120.0);
    CHECK(preset("0.5t") == 500.0);
    CHECK(preset("2000 G") == 2.0);
    CHECK(preset("100 LB") == 45.359237);
    CHECK(preset("MAX") == 60000.0);
    CHECK(preset("minimum") == 0.0);
    CHECK(preset("#H10") == 16.0);
    talk.ask("UNIT LB");
    CHECK(preset("100") == 45.359237);
    CHECK(preset("100 KG") == 100.0);
}
