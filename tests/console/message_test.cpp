#include "firmware/console/message.h"

#include <catch2/catch.hpp>
#include <string>

#include "firmware/console/command.h"
#include "tests/console/conversation.h"

using namespace cornerbench::console;
using testing::Conversation;

TEST_CASE("Headers have a short and a long form and nothing between", "[console]") {
    // SCPI-99, volume 1, 6.2.1 and 6.2.2 (from memory).
    Conversation talk;
    for (const char* header : {"MEAS:WEIG:GROS?", "measure:weight:gross?", "MeAs:WEIGHT:gros?", "MEAS?",
                               "MEAS:GROS?", "MEAS:WEIG?", ":MEASURE?", "  MEAS?  ", "\tMEAS?"}) {
        INFO(header);
        CHECK(talk.ask(header) == "14220");
        CHECK(talk.error() == 0);
    }
    for (const char* header :
         {"MEASU?", "MEA?", "MEAS:WEI?", "MEAS", "MEAS:GROS:WEIG?", "MEAS2?", "MEAS:NETT?"}) {
        INFO(header);
        CHECK(talk.ask(header).empty());
        CHECK(talk.error() == -113);
    }
}

TEST_CASE("A header's number chooses, and is 1 when left out", "[console]") {
    // SCPI-99, volume 1, 6.2.5.2 (from memory).
    Conversation talk;
    CHECK(talk.ask("CHAN2:RAT?") == "-2.5E-04");
    CHECK(talk.ask("CHANNEL3:RATIO?") == "1.23456789E-03");
    CHECK(talk.ask("CHAN:RAT?") == "1.0E-03");
    CHECK(talk.ask("CHAN4:RAT?") == "9.91E+37");
    for (const char* header :
         {"CHAN0:RAT?", "CHAN5:RAT?", "CHAN99999999999999999999:RAT?", "CAL:GAIN0?", "CAL:GAIN5 1"}) {
        INFO(header);
        CHECK(talk.ask(header).empty());
        CHECK(talk.error() == -114);
    }
}

TEST_CASE("The next header goes on where the last one stood", "[console]") {
    // SCPI-99, volume 1, 6.2.4 (from memory): a header without ':' starts beside the last node of the one
    // before; common commands leave the place alone.
    Conversation talk;
    talk.instrument.now.tare = {220, 0};
    talk.instrument.now.net = {14000, 0};
    CHECK(talk.ask("MEAS:NET?;TARE?") == "14000;220");
    CHECK(talk.ask("MEAS:NET?;*ESE 4;TARE?;*ESE?") == "14000;220;4");
    CHECK(talk.ask("MEAS:NET?;:UNIT?") == "14000;KG");
    CHECK(talk.ask("MEAS:WEIG:NET?;GROS?") == "14000;14220");
    CHECK(talk.error() == 0);
    CHECK(talk.ask("MEAS:NET?;UNIT?") == "14000");
    CHECK(talk.error() == -113);
}

TEST_CASE("What is wrong with a message has the standard's number", "[console]") {
    // SCPI-99, volume 2, 21.8.8 (from memory).
    Conversation talk;
    const auto number = [&talk](const std::string& line) {
        CHECK(talk.ask(line).empty());
        const int error = talk.error();
        CHECK(talk.error() == 0);
        return error;
    };
    CHECK(number("ZERO!") == -111);
    CHECK(number("!ZERO") == -101);
    CHECK(number("ZERO 5") == -108);
    CHECK(number("TARE:PRES") == -109);
    CHECK(number("TARE:PRES 5,6") == -108);
    CHECK(number("TARE:PRES 5 6") == -121);
    CHECK(number("TARE:PRES 'a' 6") == -103);
    CHECK(number("TARE:PRES ,") == -102);
    CHECK(number("TARE:PRES 5,") == -102);
    CHECK(number("ZERO;") == -102);
    CHECK(number(";") == -102);
    CHECK(number(":") == -102);
    CHECK(number("TARE:") == -102);
    CHECK(number("ABCDEFGHIJKLM") == -112);
    CHECK(number("TARE:PRES 5.5.5") == -121);
    CHECK(number("TARE:PRES +") == -121);
    CHECK(number("TARE:PRES 1E40000") == -123);
    CHECK(number("TARE:PRES 5 FT") == -131);
    CHECK(number("TARE:PRES 5 ABCDEFGHIJKLM") == -134);
    CHECK(number("*ESE 5 KG") == -138);
    CHECK(number("TARE:PRES MAYBE") == -141);
    CHECK(number("TARE:PRES ABCDEFGHIJKLM") == -144);
    CHECK(number("*ESE MAX") == -148);
    CHECK(number("TARE:PRES 'abc") == -151);
    CHECK(number("TARE:PRES \"abc\"") == -158);
    CHECK(number("TARE:PRES #15abcde") == -168);
    CHECK(number("TARE:PRES (1+2)") == -178);
    CHECK(number("UNIT 5") == -128);
    CHECK(number("UNIT OZ") == -141);
    CHECK(number("*ESE 256") == -222);
    CHECK(number("*ESE -1") == -222);
    CHECK(number("A:B:C:D:E:F:G:H:I") == -113);
    CHECK(talk.instrument.zeros == 1);  // that of "ZERO;", whose second unit was wrong
}

TEST_CASE("A semicolon in a string does not end a unit", "[console]") {
    // IEEE 488.2 (1992), 7.7.5 (from memory).
    Conversation talk;
    CHECK(talk.ask("*ESE?;TARE:PRES 'a;:ZERO;b';*ESE?") == "0");
    CHECK(talk.error() == -158);
    CHECK(talk.ask("*ESE?;UNIT \"it \"\"is; :ZERO\";*ESE?") == "0");
    CHECK(talk.error() == -158);
    CHECK(talk.instrument.zeros == 0);
}
