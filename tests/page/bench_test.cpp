#include "sim/page/bench.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

#include "firmware/circuit/lifted_cell.h"
#include "sim/field/places.h"
#include "sim/page/lesson_deeds.h"
#include "sim/page/link_run.h"
#include "sim/page/terminals.h"
#include "sim/virtual_scale/indicator_settings.h"

using namespace cornerbench;
using page::Bench;
using page::Deed;
using page::DeedKind;

namespace {

const std::string configs = CORNERBENCH_SOURCE_DIR "/configs/";

page::BenchStart start_of(const files::ScaleFile& file, std::uint64_t seed) {
    page::BenchStart start;
    start.description = file.description;
    start.settings = virtual_scale::indicator_settings(file);
    start.seed = seed;
    return start;
}

files::ScaleFile scale_named(const std::string& name) {
    const auto loaded = files::load_scale(configs + "scales/" + name + ".toml");
    REQUIRE(loaded);
    return *loaded.value;
}

bool act(Bench& bench, DeedKind kind, std::array<double, page::max_deed_numbers> number) {
    return bench.act({0, kind, number});
}

void run(Bench& bench, double seconds) {
    const auto frames = static_cast<int>(seconds * bench.description().rate_Hz);
    for (int i = 0; i < frames; ++i) bench.frame();
}

std::vector<files::LessonFile> lessons() {
    std::vector<files::LessonFile> all;
    for (const auto& entry : std::filesystem::directory_iterator(configs + "lessons")) {
        if (entry.path().extension() != ".toml") continue;
        const auto loaded = files::load_lesson(entry.path().string());
        REQUIRE(loaded);
        all.push_back(*loaded.value);
    }
    return all;
}

/// Takes the reading that a task asks for, as somebody on the page does.
bool take(Bench& bench, const files::LessonTask& task) {
    const diagnosis::Reading& r = task.reading;
    for (std::size_t i = 0; i < static_cast<std::size_t>(r.load.count); ++i) {
        const diagnosis::Standing& s = r.load.standing[i];
        if (!act(bench, DeedKind::put, {s.x_m, s.y_m, s.mass_kg})) return false;
    }
    run(bench, 12.0);
    const double third = r.quantity == diagnosis::Quantity::excitation   ? static_cast<int>(r.place)
                         : r.quantity == diagnosis::Quantity::inspection ? static_cast<int>(r.look)
                                                                         : scale::index_of(r.between_a);
    const auto quantity = static_cast<double>(static_cast<int>(r.quantity));
    const bool taken = act(
        bench, DeedKind::read,
        {quantity, static_cast<double>(r.cell), third, static_cast<double>(scale::index_of(r.between_b))});
    for (const page::OnDeck& each : bench.on_deck())
        act(bench, DeedKind::lift, {static_cast<double>(each.number)});
    run(bench, 12.0);
    return taken;
}

}  // namespace

TEST_CASE("Terminals stand where the core's own measurements say", "[page]") {
    for (const std::string name : {"quarry-8", "sawmill-4", "harbour-8"}) {
        Bench bench(start_of(scale_named(name), 5));
        REQUIRE(bench.calibrated());
        world::World& world = bench.scale().world();
        const circuit::Box& box = world.box().exact();
        const std::vector<double> volts = bench.terminal_volts();
        const int cells = bench.description().cell_count();
        REQUIRE(volts.size() == static_cast<std::size_t>(page::terminal_count(cells)));
        const auto between = [&volts](int a) {
            return volts[static_cast<std::size_t>(a)] - volts[static_cast<std::size_t>(a + 1)];
        };
        for (int i = 0; i < cells; ++i) {
            const double at_cell = circuit::excitation_at_cell_V(box, world.condition(), i, world.ratios());
            CHECK(between(page::terminals_per_position * i) == Approx(at_cell).epsilon(1.0e-12));
            // Copper takes some of it on the way.
            CHECK(between(page::terminals_per_position * i + scale::wire_count) < at_cell);
        }
        const int bus = page::terminals_per_position * cells;
        CHECK(between(bus) == Approx(circuit::excitation_in_box_V(box, world.ratios())).epsilon(1.0e-12));
        const double at_indicator = circuit::excitation_at_indicator_V(box, world.ratios());
        CHECK(between(bus + scale::wire_count) == Approx(at_indicator).epsilon(1.0e-12));
    }
}

TEST_CASE("A weight that is put on, moved and lifted is weighed where it stands", "[page]") {
    Bench bench(start_of(scale_named("quarry-8"), 5));
    REQUIRE(act(bench, DeedKind::put, {3.0, 1.3, 8000.0}));
    run(bench, 8.0);
    CHECK(std::fabs(bench.scale().indicator().readout().gross_kg - 8000.0) < 30.0);
    REQUIRE(act(bench, DeedKind::move, {1.0, 15.0, 1.0}));
    run(bench, 8.0);
    CHECK(std::fabs(bench.scale().indicator().readout().gross_kg - 8000.0) < 30.0);
    CHECK(bench.load().standing[0].x_m == 15.0);
    REQUIRE(act(bench, DeedKind::lift, {1.0}));
    run(bench, 8.0);
    CHECK(bench.load().count == 0);
    CHECK(std::fabs(bench.scale().indicator().readout().gross_kg) < 30.0);
}

TEST_CASE("What makes no sense on the bench is refused and changes nothing", "[page]") {
    Bench bench(start_of(scale_named("quarry-8"), 5));
    const double nan = std::nan("");
    CHECK_FALSE(act(bench, DeedKind::put, {99.0, 1.0, 100.0}));
    CHECK_FALSE(act(bench, DeedKind::put, {nan, 1.0, 100.0}));
    CHECK_FALSE(act(bench, DeedKind::put, {1.0, 1.0, -3.0}));
    CHECK_FALSE(act(bench, DeedKind::move, {1.0, 1.0, 1.0}));
    CHECK_FALSE(act(bench, DeedKind::lift, {nan}));
    CHECK_FALSE(act(bench, DeedKind::drive, {0.0, 3.0}));
    CHECK_FALSE(act(bench, DeedKind::leave, {}));
    CHECK_FALSE(act(bench, DeedKind::fault, {0.0, 0.0, 0.0}));
    CHECK_FALSE(act(bench, DeedKind::fault, {8.0, 8.0, 0.0, 3.0}));
    CHECK_FALSE(act(bench, DeedKind::fault, {8.0, 0.5, 0.0, 3.0}));
    CHECK_FALSE(act(bench, DeedKind::fault, {8.0, 0.0, 0.0, nan}));
    CHECK_FALSE(act(bench, DeedKind::mend, {3.0}));
    CHECK_FALSE(act(bench, DeedKind::trim, {8.0, 1.0}));
    CHECK_FALSE(act(bench, DeedKind::trim, {0.0, nan}));
    CHECK_FALSE(act(bench, DeedKind::key, {9.0}));
    CHECK_FALSE(act(bench, DeedKind::power, {1.0}));
    CHECK_FALSE(act(bench, DeedKind::read, {2.0, 0.0, 3.0, 3.0}));
    CHECK_FALSE(act(bench, DeedKind::read, {5.0, 0.0}));
    CHECK(bench.on_deck().empty());
    CHECK(bench.faults().empty());
    CHECK(bench.readings().empty());
}

TEST_CASE("One run is one state, and a deed more is another", "[page]") {
    page::PageContent content;
    content.scales.push_back({"quarry-8", scale_named("quarry-8")});
    const auto hash = [&content](const std::string& deeds) {
        const auto link = page::read_link("scale=quarry-8&seed=4&until=900&deeds=" + deeds);
        REQUIRE(link.link);
        const page::LinkRun run = page::run_link(*link.link, content);
        REQUIRE(run.bench);
        CHECK(run.refused == 0);
        return run.bench->state_hash();
    };
    const std::uint64_t once = hash("10,put,6,2.6,5000;300,fault,8,2,0,20");
    CHECK(once == hash("10,put,6,2.6,5000;300,fault,8,2,0,20"));
    CHECK(once != hash("10,put,6,2.6,5000;300,fault,8,2,0,21"));
    CHECK(once != hash("11,put,6,2.6,5000;300,fault,8,2,0,20"));
}

TEST_CASE("Every lesson can be solved on the bench, and not by doing nothing", "[page][lesson]") {
    for (const files::LessonFile& lesson : lessons()) {
        INFO(lesson.name);
        Bench bench(start_of(lesson.scale, lesson.seed));
        REQUIRE(bench.calibrated());
        const std::vector<Deed> faults = page::lesson_deeds(lesson);
        for (const Deed& deed : faults) REQUIRE(bench.act(deed));
        run(bench, 5.0);
        for (const files::LessonTask& task : lesson.tasks) {
            INFO(task.text);
            switch (task.deed) {
                case files::LessonDeed::measure: {
                    const std::size_t before = bench.readings().size();
                    REQUIRE(take(bench, task));
                    REQUIRE(bench.readings().size() == before + 1);
                    const diagnosis::Reading& taken = bench.readings().back();
                    CHECK(taken.quantity == task.reading.quantity);
                    CHECK(taken.load.total_kg() == Approx(task.reading.load.total_kg()));
                    // Only an open wire has no value, and the lesson is about it.
                    if (taken.quantity != diagnosis::Quantity::resistance)
                        CHECK(taken.shown == diagnosis::Shown::value);
                    break;
                }
                case files::LessonDeed::answer:
                    CHECK(task.right < static_cast<int>(task.choices.size()));
                    break;
                case files::LessonDeed::find:
                    for (const Deed& deed : faults) {
                        const auto cause = static_cast<int>(deed.number[0]);
                        const auto site = static_cast<int>(deed.number[1]);
                        CHECK(bench.named(cause, site) == Bench::Named::right);
                        CHECK(bench.named(cause, site == 0 ? 1 : 0) != Bench::Named::right);
                    }
                    break;
                case files::LessonDeed::trim:
                    CHECK(bench.corner_spread_divisions() > task.within_divisions);
                    for (const scale::Fault& fault : lesson.faults) {
                        if (fault.cause == scale::Cause::trim_off)
                            CHECK(act(bench, DeedKind::trim,
                                      {static_cast<double>(fault.site.index), -fault.magnitude[0]}));
                    }
                    run(bench, 1.0);
                    CHECK(bench.corner_spread_divisions() <= task.within_divisions);
                    break;
            }
        }
    }
}
