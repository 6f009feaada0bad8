#include <catch2/catch.hpp>

#include "sim/field/diagnosed_sheet.h"
#include "sim/field/fault_words.h"
#include "sim/field/trial.h"
#include "sim/files/priors_file.h"
#include "sim/files/sheet_file.h"

// What is really behind each shipped complaint stands here and not in its file, so that nobody reads it
// there.

using namespace cornerbench;

namespace {

struct Complaint {
    const char* sheet;
    const char* truth;
};

constexpr Complaint complaints[] = {
    {"quarry-west-end-light", "loose-terminal cell=8 wire=S+ ohm=38"},
    {"depot-corner-counts-backwards", "signal-pair-swapped cell=4"},
    {"depot-everything-light", "home-run-loose wire=E+ ohm=1.5"},
    {"sawmill-zero-after-rain", "wet-leak cell=2 wires=S-,shield ohm=3e6"},
    {"sawmill-deck-knocks", "unseated-support support=2 mm=5"},
    {"elevator-does-not-come-back", "rubbing support=2 kN_per_mm=15 limit_kN=2.5"},
    {"harbour-channels-disagree", "swapped-cells cells=3,6"},
    {"harbour-yearly-check", "healthy"},
    {"quarry-corners-differ", "healthy"},
    {"scrapyard-corner-heavy", "altered-cable cell=6 m=-12"},
};

files::SheetFile load(const std::string& name) {
    const auto sheet =
        files::load_sheet(std::string(CORNERBENCH_SOURCE_DIR) + "/configs/sheets/" + name + ".toml");
    REQUIRE(sheet);
    return *sheet.value;
}

}  // namespace

TEST_CASE("the true cause of every shipped complaint leads, alone or in its group", "[configs][long]") {
    for (const Complaint& complaint : complaints) {
        INFO(complaint.sheet);
        const files::SheetFile file = load(complaint.sheet);
        const scale::Description& d = file.scale.description;
        const field::ReadFault truth = field::read_fault(complaint.truth, d);
        REQUIRE(truth.fault);
        const auto ranked = field::rank_causes(d, file.sheet(), diagnosis::default_priors(d));
        const diagnosis::Candidate& first = ranked.candidates.front();
        double together = 0.0;
        bool led = false;
        for (const diagnosis::Candidate& candidate : ranked.candidates) {
            const bool grouped = first.group >= 0 && candidate.group == first.group;
            if (&candidate != &first && !grouped) continue;
            together += candidate.probability;
            led = led || field::same_cause_and_place(candidate.fault, *truth.fault);
        }
        CHECK(led);
        const bool sound = truth.fault->cause == scale::Cause::healthy;
        CHECK(together > (sound ? 0.2 : 0.8));
    }
}

TEST_CASE("estimates of the shipped complaints hold the true size", "[configs]") {
    // Inner 90 % bounds, widened by half their width: one of a handful may lie just outside.
    for (const Complaint& complaint : complaints) {
        const files::SheetFile file = load(complaint.sheet);
        const scale::Description& d = file.scale.description;
        const field::ReadFault truth = field::read_fault(complaint.truth, d);
        const auto magnitudes = scale::magnitudes_of(d, truth.fault->cause, truth.fault->site);
        const auto ranked = field::rank_causes(d, file.sheet(), diagnosis::default_priors(d));
        for (const diagnosis::Candidate& candidate : ranked.candidates) {
            if (!field::same_cause_and_place(candidate.fault, *truth.fault)) continue;
            for (unsigned i = 0; i < static_cast<unsigned>(magnitudes.count); ++i) {
                INFO(complaint.sheet << ", " << magnitudes.of[i].name);
                const diagnosis::Estimate& e = candidate.estimate[i];
                const double slack = 0.5 * (e.high - e.low);
                CHECK(truth.fault->magnitude[i] >= e.low - slack);
                CHECK(truth.fault->magnitude[i] <= e.high + slack);
            }
        }
    }
}
