#include "sim/page/page_drill.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <string>
#include <vector>

#include "sim/field/specimen.h"
#include "sim/files/scale_file.h"
#include "sim/page/link.h"
#include "sim/page/terminals.h"
#include "sim/training/drill_level.h"
#include "sim/training/level_progress.h"
#include "sim/training/task_answer.h"
#include "sim/virtual_scale/indicator_settings.h"

using namespace cornerbench;
using page::Bench;
using page::DeedKind;

namespace {

const std::string scales = CORNERBENCH_SOURCE_DIR "/configs/scales/";

files::ScaleFile scale_at(const std::string& path) {
    const auto loaded = files::load_scale(path);
    REQUIRE(loaded);
    return *loaded.value;
}

page::BenchStart drill_on(const files::ScaleFile& file, int level, std::uint64_t seed) {
    page::BenchStart start;
    start.description = file.description;
    start.settings = virtual_scale::indicator_settings(file);
    start.seed = seed;
    start.drill_level = level;
    return start;
}

bool act(Bench& bench, DeedKind kind, std::array<double, page::max_deed_numbers> number) {
    return bench.act({0, kind, number});
}

/// The numbers by which a call names this.
std::array<double, 2> as_called(const scale::Description& d, const scale::Fault& fault) {
    for (int i = 0; i < scale::site_count(d, fault.cause); ++i)
        if (scale::site_at(d, fault.cause, i) == fault.site)
            return {static_cast<double>(scale::index_of(fault.cause)), static_cast<double>(i)};
    return {};
}

diagnosis::Reading weight_at(std::vector<diagnosis::Standing> standing) {
    diagnosis::Reading r;
    r.load.count = static_cast<int>(standing.size());
    std::copy(standing.begin(), standing.end(), r.load.standing.begin());
    return r;
}

}  // namespace

TEST_CASE("A drill on the page hides what a drill with its level and number hides, in the same specimen",
          "[page][training][long]") {
    for (const auto& entry : std::filesystem::directory_iterator(scales)) {
        const files::ScaleFile file = scale_at(entry.path().string());
        const scale::Description& d = file.description;
        // Drawing thinks: every level on the smallest scale, the first on all.
        const int most = d.cell_count() == 4 ? training::level_count : 1;
        for (int level = 1; level <= most; ++level) {
            const std::uint64_t seed = 3U + static_cast<std::uint64_t>(level);
            CAPTURE(entry.path().string(), level);
            const Bench bench(drill_on(file, level, seed));
            REQUIRE(bench.calibrated());
            const auto hidden = training::draw_hidden(d, level, seed);
            REQUIRE(bench.faults().size() == hidden.size());
            for (std::size_t i = 0; i < hidden.size(); ++i) {
                CHECK(bench.faults()[i].hidden);
                CHECK(bench.faults()[i].fault.cause == hidden[i].cause);
                CHECK(bench.faults()[i].fault.site == hidden[i].site);
            }
            // Trims that were never well set are those of the drill's own specimen.
            const field::Specimen specimen = field::draw_specimen(d, diagnosis::History::calibrated,
                                                                  training::setting_of(level).scatter, seed);
            const scale::Condition& now = const_cast<Bench&>(bench).scale().world().condition();
            for (int i = 0; i < d.cell_count(); ++i) {
                const auto at = static_cast<std::size_t>(i);
                const bool touched = std::any_of(hidden.begin(), hidden.end(), [](const scale::Fault& f) {
                    return f.cause == scale::Cause::trim_off || f.cause == scale::Cause::wrong_cell;
                });
                if (!touched) CHECK(now.positions[at].trim_at == specimen.condition.positions[at].trim_at);
            }
        }
    }
}

TEST_CASE("In a page's drill the whole truth is right, half of it is one of two, and nothing is wrong",
          "[page][training][long]") {
    const files::ScaleFile file = scale_at(scales + "quarry-8.toml");
    const scale::Description& d = file.description;
    for (std::uint64_t seed = 1; seed <= 3; ++seed) {
        CAPTURE(seed);
        Bench bench(drill_on(file, training::level_count, seed));
        REQUIRE(bench.faults().size() == 2);
        for (int i = 0; i < 1000; ++i) bench.frame();
        REQUIRE(act(bench, DeedKind::read, {1.0, 0.0}));
        const auto first = as_called(d, bench.faults()[0].fault);
        const auto second = as_called(d, bench.faults()[1].fault);
        const auto end = [&](std::array<double, page::max_deed_numbers> number) {
            const auto verdict = page::verdict_of(bench, number);
            REQUIRE(verdict);
            return verdict->end;
        };
        CHECK(end({first[0], first[1], second[0], second[1]}) == training::CallEnd::right);
        CHECK(end({second[0], second[1], first[0], first[1]}) == training::CallEnd::right);
        CHECK(end({first[0], first[1]}) != training::CallEnd::right);
        CHECK(end({0.0}) != training::CallEnd::right);
        CHECK_FALSE(page::verdict_of(bench, {99.0, 0.0}));
        CHECK_FALSE(page::verdict_of(bench, {first[0], 1.0e6}));
        CHECK_FALSE(page::verdict_of(bench, {0.5, 0.0}));
    }
}

TEST_CASE("The meter's probes take the minutes of what has to be opened for them", "[page][training]") {
    const files::ScaleFile file = scale_at(scales + "quarry-8.toml");
    Bench bench(drill_on(file, 1, 5));
    const field::CheckMinutes minutes;
    const int cells = bench.description().cell_count();
    const auto bus = static_cast<double>(page::terminals_per_position * cells);
    const double indicator = bus + scale::wire_count;
    CHECK(page::probe_minutes(bench, indicator, indicator + 1.0) == minutes.at_indicator);
    CHECK(page::probe_minutes(bench, bus, bus + 1.0) == minutes.open_box + minutes.read);
    CHECK_FALSE(page::probe_minutes(bench, bus, 1.0e6));
    CHECK_FALSE(act(bench, DeedKind::probe, {-1.0, 0.0}));
    REQUIRE(act(bench, DeedKind::probe, {bus, bus + 1.0}));
    // The box is open now, and lifted wires have to be landed again first: the next readings say what is
    // left.
    CHECK(page::probe_minutes(bench, 0.0, 1.0) == minutes.read);
    REQUIRE(act(bench, DeedKind::read, {2.0, 0.0, 2.0, 3.0}));
    REQUIRE(act(bench, DeedKind::probe, {0.0, 1.0}));
    const page::DrillClock clock = page::clock_of(bench.readings(), bench.probed());
    CHECK(clock.steps.size() == 1);
    CHECK(clock.minutes ==
          minutes.open_box + minutes.read + minutes.lift_wires + minutes.read + minutes.read);
    CHECK(page::clock_of(bench.readings()).minutes == minutes.open_box + minutes.lift_wires + minutes.read);
}

TEST_CASE("What was hidden is told once it is asked for, and a level in a link is one there is", "[page]") {
    Bench bench(drill_on(scale_at(scales + "sawmill-4.toml"), 1, 5));
    CHECK_FALSE(bench.revealed());
    REQUIRE(act(bench, DeedKind::reveal, {}));
    CHECK(bench.revealed());
    CHECK(page::read_link("scale=a&seed=5&drill=6&until=0").link->drill == 6);
    CHECK_FALSE(page::read_link("scale=a&seed=5&drill=7&until=0").link);
    CHECK_FALSE(page::read_link("scale=a&seed=5&drill=-1&until=0").link);
}

TEST_CASE("A reading answers a task from nearly the same places in any order, and from no others",
          "[training][lesson]") {
    const auto asked = weight_at({{5000.0, 3.0, 1.0}, {8000.0, 9.0, 1.0}});
    CHECK(training::answers_task(weight_at({{8040.0, 9.1, 1.0}, {4990.0, 3.0, 0.95}}), asked));
    CHECK_FALSE(training::answers_task(weight_at({{8000.0, 9.0, 1.0}, {8000.0, 9.0, 1.0}}), asked));
    CHECK_FALSE(training::answers_task(weight_at({{8000.0, 9.2, 1.0}, {5000.0, 3.0, 1.0}}), asked));
    CHECK_FALSE(training::answers_task(weight_at({{8100.0, 9.0, 1.0}, {5000.0, 3.0, 1.0}}), asked));
    CHECK_FALSE(training::answers_task(weight_at({{5000.0, 3.0, 1.0}}), asked));
    diagnosis::Reading ohms;
    ohms.quantity = diagnosis::Quantity::resistance;
    ohms.cell = 2;
    ohms.between_a = scale::Wire::signal_plus;
    ohms.between_b = scale::Wire::signal_minus;
    diagnosis::Reading turned = ohms;
    std::swap(turned.between_a, turned.between_b);
    turned.load = asked.load;
    CHECK(training::answers_task(turned, ohms));
    turned.cell = 3;
    CHECK_FALSE(training::answers_task(turned, ohms));
}

TEST_CASE("Two found in a row call for the next level", "[training]") {
    using training::LevelDone;
    CHECK(training::level_progress({}).next == 1);
    const std::vector<LevelDone> once{{1, true, 80}, {1, false, 0}, {1, true, 90}};
    CHECK(training::level_progress(once).next == 1);
    CHECK(training::level_progress(once).of[0].found == 2);
    CHECK(training::level_progress(once).of[0].mean_points == Approx(170.0 / 3.0));
    const std::vector<LevelDone> twice{{1, true, 80}, {1, true, 90}};
    CHECK(training::level_progress(twice).next == 2);
    const std::vector<LevelDone> last{{6, true, 80}, {6, true, 90}};
    CHECK(training::level_progress(last).next == 6);
}
