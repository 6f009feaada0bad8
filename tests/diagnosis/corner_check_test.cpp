#include <catch2/catch.hpp>

#include <span>
#include <string>

#include "sim/field/corner_check_input.h"
#include "sim/field/simulated_sheet.h"
#include "sim/files/scale_file.h"

// The box's own check, on corner rounds from the simulator, which knows nothing of it.

namespace {

using namespace cornerbench;
using diagnosis::CornerFindingKind;
using diagnosis::CornerReport;
using diagnosis::CornerVerdict;

scale::Description quarry() {
    const auto loaded =
        files::load_scale(std::string(CORNERBENCH_SOURCE_DIR) + "/configs/scales/quarry-8.toml");
    REQUIRE(loaded.value.has_value());
    return loaded.value->description;
}

CornerReport judged(const scale::Description& d, const scale::Fault& fault, unsigned seed) {
    field::SheetPlan plan;
    plan.excitation = plan.sections = plan.channels = plan.input_output = false;
    plan.insulation = plan.empty_signals = plan.loaded_signals = false;
    field::SheetSetting setting;
    setting.zeroed = diagnosis::Zeroed::now;
    const field::SimulatedSheet sheet = field::simulate_sheet(d, std::span(&fault, 1), seed, plan, setting);
    return field::corner_check_input(d, sheet.sheet()).judge();
}

bool names(const CornerReport& report, CornerFindingKind kind, int cell) {
    for (int i = 0; i < report.count; ++i) {
        const diagnosis::CornerFinding& f = report.findings[static_cast<std::size_t>(i)];
        if (f.kind == kind && f.place.index == cell) return true;
    }
    return false;
}

}  // namespace

TEST_CASE("A sound scale's corner round is called alike", "[cornercheck]") {
    // One in a thousand rounds may alarm; three of these 200 would come by chance less than twice in a
    // thousand.
    const scale::Description d = quarry();
    int alarms = 0;
    for (unsigned seed = 1; seed <= 200; ++seed) {
        if (judged(d, {}, seed).verdict == CornerVerdict::not_alike) ++alarms;
    }
    CHECK(alarms < 3);
}

TEST_CASE("A cell against its arrow and a cell without output are named", "[cornercheck]") {
    // A reversed cell makes the sum read low by twice its share, a dead one by its share (common practice, no
    // source).
    const scale::Description d = quarry();
    for (int cell = 0; cell < d.cell_count(); ++cell) {
        scale::Fault reversed;
        reversed.cause = scale::Cause::upside_down;
        reversed.site = {scale::SiteKind::cell, cell, 0};
        INFO("cell " << cell + 1);
        CHECK(names(judged(d, reversed, 7), CornerFindingKind::reversed_cell, cell));
        scale::Fault dead = reversed;
        dead.cause = scale::Cause::weak_output;
        dead.magnitude[0] = 0.0;
        CHECK(names(judged(d, dead, 7), CornerFindingKind::dead_cell, cell));
    }
}

TEST_CASE("A support that lets load past its cell is called off at its place", "[cornercheck]") {
    const scale::Description d = quarry();
    for (int support = 0; support < d.cell_count(); ++support) {
        scale::Fault bound;
        bound.cause = scale::Cause::bound_support;
        bound.site = {scale::SiteKind::support, support, 0};
        bound.magnitude[0] = 0.2;
        const CornerReport report = judged(d, bound, 11);
        INFO("support " << support + 1);
        REQUIRE(report.count > 0);
        CHECK(report.verdict == CornerVerdict::not_alike);
        CHECK(report.findings[0].place.index == support);
    }
}
