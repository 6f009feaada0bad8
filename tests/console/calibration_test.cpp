#include <catch2/catch.hpp>
#include <charconv>
#include <string>

#include "tests/console/conversation.h"

using namespace cornerbench;
using namespace cornerbench::console;
using console::testing::Conversation;

TEST_CASE("A scale is calibrated from the console with the seal open", "[console]") {
    Conversation talk;
    CHECK(talk.ask("CAL:SEAL?") == "CLOSED");
    talk.instrument.open_seal = true;
    CHECK(talk.ask("CAL:SEAL?") == "OPEN");
    talk.ask("CAL:POIN 0");
    talk.ask("CAL:POIN 20 T");
    CHECK(talk.instrument.point_kg == 20000.0);
    CHECK(talk.ask("CAL:POIN:COUN?") == "2");
    CHECK(talk.ask("CAL:STOR;*OPC?") == "1");
    CHECK(talk.instrument.calibrations == 1);
    talk.ask("CAL:RAT");
    talk.ask("CAL:GRAV 9.81,9.79");
    talk.ask("CAL:GAIN2 1.05");
    CHECK(talk.ask("CAL:GAIN2?") == "1.05E+00");
    CHECK(talk.ask("CAL:COUN?") == "4");
    CHECK(talk.ask("SYST:ERR?") == "0,\"No error\"");
    talk.ask("CAL:POIN:CLE");
    CHECK(talk.ask("CAL:POIN:COUN?") == "0");
}

TEST_CASE("What is wrong with a calibration is said", "[console]") {
    Conversation talk;
    for (const char* command : {"CAL:POIN 0", "CAL:STOR", "CAL:RAT", "CAL:GRAV 9.81,9.79", "CAL:GAIN1 1"}) {
        INFO(command);
        talk.ask(command);
        CHECK(talk.ask("SYST:ERR?") == "-203,\"Command protected;calibration sealed\"");
    }
    talk.instrument.open_seal = true;
    talk.ask("CAL:STOR");
    const std::string too_few(weighing::words(weighing::CalibrationError::too_few_points));
    CHECK(talk.ask("SYST:ERR?") == "-340,\"Calibration failed;" + too_few + "\"");
    CHECK(talk.ask("CAL:STAT?").starts_with("1,2,\""));
    talk.ask("CAL:GAIN1 2");
    CHECK(talk.error() == -222);
    talk.ask("CAL:POIN -1");
    CHECK(talk.error() == -222);
    talk.ask("CAL:GRAV 9.81");
    CHECK(talk.error() == -109);
    for (int i = 0; i < 6; ++i) talk.ask("CAL:POIN 0");
    CHECK(talk.error() == -223);
    CHECK(talk.instrument.calibrations == 0);
}

TEST_CASE("A change that the memory did not take is an error", "[console]") {
    Conversation talk;
    talk.instrument.open_seal = true;
    talk.instrument.store_at_once = false;
    talk.ask("CAL:RAT");
    CHECK(talk.error() == 0);
    talk.instrument.storing_now = false;
    CHECK(talk.ask("*IDN?;:SYST:ERR?").find("-320,\"Storage fault;memory failed") != std::string::npos);
    talk.ask("CAL:RAT");
    talk.instrument.storing_now = false;
    ++talk.instrument.calibrations;
    CHECK(talk.error() == 0);
}

TEST_CASE("Coefficients are told to the last bit", "[console]") {
    Conversation talk;
    talk.instrument.fitted = {1.0 / 3.0, 30123456.789012344, -2.0 / 7.0};
    const std::string answer = talk.ask("CAL:COEF?");
    const auto number = [&answer](std::size_t from) {
        double value = 0.0;
        std::from_chars(answer.data() + from, answer.data() + answer.size(), value);
        return value;
    };
    const std::size_t second = answer.find(',') + 1;
    CHECK(number(0) == 1.0 / 3.0);
    CHECK(number(second) == 30123456.789012344);
    CHECK(number(answer.find(',', second) + 1) == -2.0 / 7.0);
}

TEST_CASE("A reset leaves what is kept alone", "[console]") {
    // IEEE 488.2 (1992), 10.32: calibration data are not affected (from memory).
    Conversation talk;
    talk.instrument.open_seal = true;
    talk.ask("CAL:POIN 0;:*ESE 4;*RST");
    talk.ask("*RST");
    CHECK(talk.instrument.points == 0);
    CHECK(talk.instrument.tare_clears >= 1);
    CHECK(talk.instrument.corners_forgotten >= 1);
    CHECK(talk.instrument.calibrations == 0);
}

TEST_CASE("A corner round is made and judged from the console", "[console]") {
    Conversation talk;
    CHECK(talk.ask("CORN:COUN?") == "4");
    talk.ask("CORN:EMPT");
    talk.ask("CORN:LOAD 3,2000");
    CHECK(talk.instrument.corners_empty == 1);
    CHECK(talk.instrument.last_support == 2);
    CHECK(talk.instrument.last_mass_kg == 2000.0);
    talk.ask("CORN:LOAD 3,2 T");
    CHECK(talk.instrument.last_mass_kg == 2000.0);
    CHECK(talk.error() == 0);
    for (const char* line : {"CORN:LOAD 0,1", "CORN:LOAD 5,1"}) {
        talk.ask(line);
        CHECK(talk.ask("SYST:ERR?").starts_with("-222,\"Data out of range;1 to 4;CORN:LOAD"));
    }
    auto& report = talk.instrument.report;
    report.verdict = diagnosis::CornerVerdict::alike;
    CHECK(talk.ask("CORN:CHEC?") == "ALIKE,\"\",0,0,0");
    report.verdict = diagnosis::CornerVerdict::not_alike;
    report.count = 1;
    report.findings[0] = {diagnosis::CornerFindingKind::exchanged_channels,
                          {scale::SiteKind::cell_pair, 1, 2},
                          {0.99, 0.01},
                          12.5,
                          {scale::SiteKind::support, 3, 0},
                          4.0};
    CHECK(talk.ask("CORN:CHEC?") ==
          "NOT_ALIKE,\"\",0,0,1,EXCHANGED,CELL_PAIR,2,3,9.9E-01,1.0E-02,1.25E+01,SUPPORT,4,0");
    report.count = diagnosis::max_findings;
    for (auto& finding : report.findings) finding = report.findings[0];
    CHECK(talk.ask("CORN:CHEC?").size() < answer_room);
    CHECK(talk.error() == 0);
    report.error = diagnosis::CornerError::no_corner_reading;
    report.count = 0;
    CHECK(talk.ask("CORN:CHEC?").starts_with("NO_CHECK,\"no support was loaded"));
    talk.ask("CORN:CLE");
    CHECK(talk.instrument.corners_forgotten == 1);
}
