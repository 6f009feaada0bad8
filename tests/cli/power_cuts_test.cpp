#include <catch2/catch.hpp>
#include <sstream>

#include "tests/cli/command_line.h"

using namespace cornerbench::cli;

TEST_CASE("power-cuts says how many it tried and that none broke a rule", "[cli]") {
    const Answer answer = ask({"power-cuts", "--memory", "1", "--every", "5000"});
    CHECK(answer.code == 0);
    CHECK(answer.err.empty());
    CHECK(answer.says("tried, 0 broke a rule."));
    std::istringstream lines(answer.out);
    for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
    const auto document = ask({"power-cuts", "--memory", "1", "--every", "5000", "--json"}).json();
    CHECK(document["schema"] == 1);
    CHECK(document["broken"] == 0);
    CHECK(document["memories"].size() == 1);
    CHECK(document["memories"][0]["cuts"] > 500);
    CHECK(document["tried"] > document["memories"][0]["cuts"]);
}

TEST_CASE("power-cuts tells one case again", "[cli]") {
    const Answer answer = ask({"power-cuts", "--case", "1.1-2.2.0.4-9.0.0.0"});
    CHECK(answer.code == 0);
    CHECK(answer.says("power cut"));
    CHECK(answer.says("Every rule held."));
    const auto document = ask({"power-cuts", "--case", "1.1-2.2.0.4-9.0.0.0", "--json"}).json();
    CHECK(document["broken"] == "");
    CHECK(document["story"].size() > 5);
}

TEST_CASE("a case that is none, or outside of the fault model, is wrong usage and says why", "[cli]") {
    CHECK(ask({"power-cuts", "--case", "1.1-4"}).code == 2);
    CHECK(ask({"power-cuts", "--case", "1.1-4"}).complains("valid: PLACE.HISTORY"));
    CHECK(ask({"power-cuts", "--case", "99.0"}).complains("there is no such place or history"));
    const Answer outside = ask({"power-cuts", "--case", "1.0-1.1.0.0"});
    CHECK(outside.code == 2);
    CHECK(outside.complains("not in the fault model"));
    CHECK(ask({"power-cuts", "--memory", "77"}).code == 2);
}
