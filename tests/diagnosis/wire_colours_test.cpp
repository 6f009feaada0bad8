#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

#include "firmware/diagnosis/inspection.h"
#include "firmware/scale/exchanged_wires.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/field/look_finding.h"
#include "sim/field/open_question.h"
#include "sim/field/simulated_sheet.h"
#include "sim/files/scale_file.h"
#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/ranking.h"
#include "tests/diagnosis/sheets.h"

using namespace cornerbench;
using diagnosis::Look;
using diagnosis::Reading;
using scale::Cause;
using scale::Wire;

namespace {

struct Shipped {
    std::string name;
    scale::Description description;
};

std::vector<Shipped> shipped_scales() {
    std::vector<Shipped> all;
    const std::string folder = CORNERBENCH_SOURCE_DIR "/configs/scales";
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        const auto loaded = files::load_scale(entry.path().string());
        REQUIRE(loaded);
        all.push_back({entry.path().stem().string(), loaded.value->description});
    }
    return all;
}

Reading colours_of(int cell) {
    return oracle::look_at(Look::wire_colours, cell, false);
}

Reading exchanged(int cell, Wire a, Wire b) {
    Reading r = colours_of(cell);
    r.exchanged = true;
    r.between_a = a;
    r.between_b = b;
    return r;
}

scale::Fault exchange_at(Cause cause, int cell) {
    scale::Fault fault;
    fault.cause = cause;
    fault.site = {scale::SiteKind::cell, cell, 0};
    return fault;
}

double probability_of(const field::DiagnosedSheet& found, const scale::Fault& fault) {
    for (const diagnosis::Candidate& c : found.candidates)
        if (!c.two_at_once() && c.fault.cause == fault.cause && c.fault.site == fault.site)
            return c.probability;
    return 0.0;
}

}  // namespace

TEST_CASE(
    "Colours that name the wires tell an exchanged signal pair from exchanged excitation on every "
    "shipped scale",
    "[diagnosis][long]") {
    for (const Shipped& shipped : shipped_scales()) {
        const scale::Description& d = shipped.description;
        for (int cell = 0; cell < d.cell_count(); ++cell) {
            const scale::Fault signal = exchange_at(Cause::signal_pair_swapped, cell);
            const scale::Fault excitation = exchange_at(Cause::excitation_pair_swapped, cell);
            for (const auto& [truth, other] :
                 {std::pair{signal, excitation}, std::pair{excitation, signal}}) {
                CAPTURE(shipped.name, cell, scale::name_of(truth.cause));
                field::SheetSetting exact;
                exact.noisy = false;
                field::SheetPlan plan;
                plan.input_output = plan.insulation = plan.sections = false;
                field::SimulatedSheet sheet = field::simulate_sheet(d, {&truth, 1}, 3, plan, exact);
                const auto priors = diagnosis::default_priors(d);
                const scale::ExchangedWires wires = scale::exchanged_by(truth);
                // Colours that only are not as they should be leave the two where they were.
                sheet.readings.push_back(colours_of(cell));
                const auto unnamed = field::rank_causes(d, sheet.sheet(), priors);
                CHECK(probability_of(unnamed, truth) < 3.0 * probability_of(unnamed, other));
                sheet.readings.back() = exchanged(cell, wires.a, wires.b);
                const auto named = field::rank_causes(d, sheet.sheet(), priors);
                CHECK(named.candidates.front().fault.cause == truth.cause);
                CHECK(named.candidates.front().fault.site == truth.site);
                CHECK(probability_of(named, truth) > 30.0 * probability_of(named, other));
            }
        }
    }
}

TEST_CASE("While the two are open, the next check is a look at the colours that splits them", "[diagnosis]") {
    const scale::Description d = oracle::trimmed_scale(6);
    const scale::Fault truth = exchange_at(Cause::signal_pair_swapped, 2);
    const field::SimulatedSheet sheet = oracle::exact_sheet(d, truth);
    const auto found = field::diagnose_sheet(d, sheet.sheet(), diagnosis::default_priors(d));
    REQUIRE(!found.next.empty());
    const Reading& next = found.next.front().reading;
    CHECK(next.quantity == diagnosis::Quantity::inspection);
    const bool telling = std::any_of(found.next.begin(), found.next.end(), [](const field::NextCheck& c) {
        return c.reading.look == Look::wire_colours && c.reading.cell == 2;
    });
    CHECK(telling);
}

TEST_CASE("What a look at colours may find has probabilities that sum to one", "[diagnosis]") {
    const scale::Fault none;
    for (const Cause cause : {Cause::healthy, Cause::unlisted, Cause::signal_pair_swapped,
                              Cause::excitation_pair_swapped, Cause::crossed_pairs, Cause::wrong_cell}) {
        for (const Cause with : {Cause::healthy, Cause::signal_pair_swapped, Cause::open_wire}) {
            scale::Fault fault = exchange_at(cause, 1);
            fault.variant.b = Wire::signal_plus;
            const scale::Fault also = with == Cause::healthy ? none : exchange_at(with, 1);
            CAPTURE(scale::name_of(cause), scale::name_of(with));
            double named = 0.0;
            for (int a = 0; a < scale::live_wire_count; ++a)
                for (int b = a + 1; b < scale::live_wire_count; ++b)
                    named += std::exp(diagnosis::log_inspection(
                        exchanged(1, static_cast<Wire>(a), static_cast<Wire>(b)), fault, also));
            CHECK(named == Approx(std::exp(diagnosis::log_inspection(colours_of(1), fault, also))));
            const Reading well = oracle::look_at(Look::wire_colours, 1, true);
            CHECK(named + std::exp(diagnosis::log_inspection(well, fault, also)) == Approx(1.0));
        }
    }
}

TEST_CASE("Whoever looks names the wires that stand exchanged, seldom others, and none of another maker's",
          "[field]") {
    const scale::Fault truth = exchange_at(Cause::excitation_pair_swapped, 3);
    int right = 0;
    constexpr int looks = 1000;
    for (int i = 0; i < looks; ++i) {
        Reading look = colours_of(3);
        field::name_exchanged(look, {&truth, 1}, (i + 0.5) / looks);
        REQUIRE(look.exchanged);
        REQUIRE(look.between_a != look.between_b);
        right += look.between_a == Wire::excitation_plus && look.between_b == Wire::excitation_minus ? 1 : 0;
    }
    CHECK(right >= 0.97 * looks);
    CHECK(right < looks);
    const scale::Fault foreign = exchange_at(Cause::wrong_cell, 3);
    Reading look = colours_of(3);
    field::name_exchanged(look, {&foreign, 1}, 0.5);
    CHECK_FALSE(look.exchanged);
    Reading well = oracle::look_at(Look::wire_colours, 3, true);
    field::name_exchanged(well, {&truth, 1}, 0.5);
    CHECK_FALSE(well.exchanged);
}
