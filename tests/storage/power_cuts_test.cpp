#include <catch2/catch.hpp>
#include <iostream>

#include "sim/faults/storage_trial.h"

using namespace cornerbench::faults;

// `cornerbench power-cuts --case ID` runs one of them again and tells what happened. The parts' manners are
// in hal/memory.h: what data sheets of NOR flash say in general (common practice, no source).

namespace {

void try_all(const StorageTrial& trial) {
    for (std::uint32_t place = 0; place < storage_places().size(); ++place) {
        const StorageTally tally = try_cuts(place, trial);
        std::cout << "power cuts, memory " << place << ": " << tally.cuts << " single, " << tally.pairs
                  << " pairs, " << tally.triples << " three in a row, " << tally.worn << " worn parts\n";
        for (std::size_t i = 0; i < tally.failed.size(); ++i)
            UNSCOPED_INFO("cornerbench power-cuts --case " << tally.failed[i] << ": " << tally.violations[i]);
        CHECK(tally.failures == 0);
        CHECK(tally.cuts > 500);
        CHECK(tally.triples == trial.triples);
    }
}

}  // namespace

TEST_CASE("no power cut at any moment loses or mixes what is kept", "[storage][long]") {
    try_all({.pairs = true, .every = 400});
}

TEST_CASE("no two power cuts at every tenth two moments lose or mix what is kept", "[storage][campaign]") {
    try_all({.pairs = true, .every = 10});
}

TEST_CASE("no two power cuts at any two moments lose or mix what is kept", "[storage][night]") {
    try_all({.pairs = true, .every = 1});
}

TEST_CASE("three power cuts in a row lose or mix nothing that is kept", "[storage][long]") {
    try_all({.pairs = false, .triples = 1000, .seed = 20261130});
}

TEST_CASE("no three power cuts of many drawn ones lose or mix what is kept", "[storage][night]") {
    try_all({.pairs = false, .triples = 30'000, .seed = 1});
}

TEST_CASE("a slot that a start has begun is not begun again, whatever it reads", "[storage]") {
    // The second save's first closing mark is torn and reads as erased once, so that the next start settles
    // the first save again; whatever of that is torn reads as erased once as well, when the mark is there and
    // the second save is what must be settled. Were it put over what was begun, its bits would not stay as
    // they are.
    int tried = 0;
    for (int after = 0;; ++after) {
        const std::string id = "5.0-10.0.0.2-" + std::to_string(after) + ".0.0.2";
        std::string error;
        const auto one = case_of(id, error);
        REQUIRE(one);
        const StorageOutcome outcome = run_case(*one);
        if (!outcome.refusal.empty()) {
            // A sync cannot leave bits weak, but can be cut.
            REQUIRE(outcome.refusal.find("so many operations") != std::string::npos);
            break;
        }
        INFO(id);
        CHECK(outcome.violation.empty());
        ++tried;
    }
    CHECK(tried > 8);
}

TEST_CASE("a part that lies about its syncs does not get past the trial", "[storage][long]") {
    const StorageTally tally = try_cuts(1, {.pairs = true, .every = 1000, .lying_part = true});
    CHECK(tally.failures > 10);
    REQUIRE_FALSE(tally.failed.empty());
    // And its case is found again by its number.
    std::string error;
    const auto one = case_of(tally.failed.front(), error);
    REQUIRE(one);
    CHECK(run_case(*one, true).violation == tally.violations.front());
    CHECK(run_case(*one, false).violation.empty());
}

TEST_CASE("a case's number is its own", "[storage]") {
    for (const std::string id : {"0.0", "1.2-17.5.0.3", "3.4-17.5.1.3-9.1.0.4", "2.1-4.0.0.0-w3.5.100000"}) {
        std::string error;
        const auto one = case_of(id, error);
        INFO(id << ": " << error);
        REQUIRE(one);
        CHECK(id_of(*one) == id);
    }
}

TEST_CASE("what is no case, or not in the fault model, is refused and not ignored", "[storage]") {
    for (const std::string id : {"", "1", "9.0", "0.9", "1.0-", "1.0-1.2.3", "1.0-1.2.3.5", "1.0-1.2.0.0.0",
                                 "1.0-w9.0.1", "1.0-w1.0", "1.0x", "1.0-1.2.0.99999999999"}) {
        std::string error;
        INFO(id);
        CHECK_FALSE(case_of(id, error));
        CHECK_FALSE(error.empty());
    }
    const auto refused = [](const std::string& id) {
        std::string error;
        const auto one = case_of(id, error);
        return one && !run_case(*one).refusal.empty();
    };
    CHECK(refused("1.0-0.4.0.0"));      // an erase is caught in one of four ways
    CHECK(refused("1.0-1.1.0.0"));      // a sync is not half done
    CHECK(refused("1.0-0.0.1.0"));      // nothing was unsynced then
    CHECK(refused("1.0-99999.0.0.0"));  // the history is over by then
    CHECK(refused("1.0-w1.0.0"));       // worn, but never
    CHECK_FALSE(refused("1.0-0.3.0.0"));
}
