#include <catch2/catch.hpp>

#include "firmware/mechanics/deck.h"
#include "firmware/scale/condition.h"
#include "sim/bad_days/judge.h"
#include "sim/bad_days/other_load.h"
#include "sim/virtual_scale/line_talk.h"
#include "tests/bad_days/shipped_days.h"

using namespace cornerbench;
using namespace cornerbench::bad_days;

namespace {

/// A calibrated scale whose load changes by itself, unseen by the world: what a part that lies would do.
struct Bench {
    tests::ShippedScale shipped{"quarry-8"};
    std::unique_ptr<virtual_scale::VirtualScale> scale =
        shipped.specimen(3, world::calm(shipped.description()));
    std::unique_ptr<Judge> judge;

    Bench() {
        REQUIRE(scale->calibrate(30000.0));
        judge = std::make_unique<Judge>(*scale, shipped.file, shipped.standard);
    }
    void stand(double seconds, bool excused = false) {
        const double end_s = scale->time_s() + seconds;
        while (scale->time_s() < end_s) {
            scale->frame();
            judge->frame(excused);
        }
    }
    void weak_cell() {
        scale::Fault fault;
        fault.cause = scale::Cause::weak_output;
        fault.site = {scale::SiteKind::cell, 2, 0};
        fault.magnitude[0] = 0.8;
        (void)scale->world().inject({fault, {}});
    }
};

}  // namespace

TEST_CASE("a sound scale is right, a weak cell under load is not, wherever the weight is read",
          "[bad_days]") {
    Bench bench;
    (void)bench.scale->world().put({20000.0, 9.0, 1.5, 0.0});
    bench.stand(6.0);
    CHECK(bench.judge->wrong().empty());
    CHECK(bench.judge->longest_s() < 0.6);
    bench.judge->read_registers();
    bench.judge->sent(virtual_scale::ask(*bench.scale, "FETC?"));
    CHECK(bench.judge->wrong().empty());

    SECTION("by the panel") {
        bench.weak_cell();
        bench.stand(6.0);
        CHECK(bench.judge->wrong().find("panel") == 0);
    }
    SECTION("by the console") {
        CHECK(bench.judge->wrong().empty());
        bench.judge->sent("17,20400,20400,0,KG,NONE,1,0,0,0,\"\",0");
        CHECK(bench.judge->wrong().find("console, gross: 20400.0 kg under") == 0);
    }
    SECTION("by the console, with a tare") {
        bench.judge->sent("17,20000,15400,5000,KG,WEIGHED,1,0,0,0,\"\",0");
        CHECK(bench.judge->wrong().find("console, net and tare: 20400.0 kg") == 0);
    }
    SECTION("not what is said to be in motion, degraded or without a value") {
        bench.judge->sent("17,20400,20400,0,KG,NONE,0,0,0,0,\"\",0");
        bench.judge->sent("17,20400,20400,0,KG,NONE,1,0,1,0,\"\",0");
        bench.judge->sent("17,9.91E+37,9.91E+37,0,KG,NONE,1,0,0,5,\"samples damaged\",0");
        bench.judge->sent("1");
        CHECK(bench.judge->wrong().empty());
    }
    SECTION("a fault that is excused is held to the signal") {
        bench.weak_cell();
        bench.stand(6.0, true);
        CHECK(bench.judge->wrong().empty());
        CHECK(bench.judge->excused_wrong());
        CHECK(bench.judge->excused_error_d() < -3.0);
    }
}

// With kt = kb = 0 every support takes the bilinear share of a load, whatever the stiffness: a check value of
// statics. There, whatever the cells feel is a load right over each.
TEST_CASE("another load explains readings of a limp deck as long as none of them is below nothing",
          "[bad_days]") {
    scale::Description d = tests::ShippedScale("quarry-8").description();
    d.deck.twist_stiffness_N_m_per_rad = 0.0;
    d.deck.joint_stiffness_N_m_per_rad = 0.0;
    const OtherLoad other(d);
    const std::array<double, 8> change{1000.0, 0.0, 5000.0, 20.0, 0.0, 700.0, 0.0, 3.0};
    const auto load = other.over_supports(change);
    for (std::size_t i = 0; i < change.size(); ++i) CHECK(load[i] == Approx(change[i]).margin(1.0e-6));
    CHECK(other.unexplained_kg(change) == 0.0);
    std::array<double, 8> less = change;
    less[4] = -6000.0;
    CHECK(other.unexplained_kg(less) > 1000.0);
}

TEST_CASE("every load explains itself on a deck with stiff modules", "[bad_days]") {
    for (const bad_days::DayScale& scale : tests::shipped_days()) {
        const scale::Description& d = scale.file.description;
        const OtherLoad other(d);
        const mechanics::DeckModel deck(scale::sound_condition(d));
        mechanics::ContactMemory memory = deck.slack_when_empty();
        const auto empty = deck.settle({}, memory);
        const auto last = static_cast<std::size_t>(d.deck.sections - 1);
        for (const double along : {0.0, 0.3, 0.5, 0.85, 1.0}) {
            const double x_m =
                d.deck.section_x_m[0] + along * (d.deck.section_x_m[last] - d.deck.section_x_m[0]);
            const mechanics::PointLoad load{x_m, 0.3 * d.deck.width_m, 0.1 * d.max_kg * d.gravity};
            const auto state = deck.settle(std::span(&load, 1), memory);
            std::array<double, scale::max_cells> change{};
            double sum_kg = 0.0;
            for (std::size_t i = 0; i < change.size(); ++i)
                change[i] = (state.support_N[i] - empty.support_N[i]) / d.gravity;
            for (const double kg : other.over_supports(change)) sum_kg += kg;
            INFO(scale.name << ", " << along);
            CHECK(sum_kg == Approx(0.1 * d.max_kg).epsilon(1.0e-6));
            CHECK(other.unexplained_kg(change) == 0.0);
        }
    }
}
