#include "sim/files/sheet_writer.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "sim/field/fault_draw.h"
#include "sim/field/simulated_sheet.h"
#include "sim/files/sheet_file.h"

using namespace cornerbench;
using diagnosis::Reading;

namespace {

files::ScaleFile scale_file(const std::string& name) {
    const auto loaded = files::load_scale(std::string(CORNERBENCH_SOURCE_DIR) + "/configs/scales/" + name);
    REQUIRE(loaded);
    return *loaded.value;
}

files::SheetFile read_back(const std::string& text, const files::ScaleFile& scale) {
    files::SheetSources sources;
    sources.scale = [&](const std::string&) {
        files::Loaded<files::ScaleFile> loaded;
        loaded.value = scale;
        return loaded;
    };
    const auto loaded = files::parse_sheet(text, "written.toml", sources);
    INFO(files::to_string(loaded.errors));
    REQUIRE(loaded);
    CHECK(loaded.warnings.empty());
    return *loaded.value;
}

void check_same(const Reading& a, const Reading& b) {
    CHECK(a.quantity == b.quantity);
    CHECK(a.cell == b.cell);
    CHECK(a.connected == b.connected);
    CHECK(a.between_a == b.between_a);
    CHECK(a.between_b == b.between_b);
    CHECK(a.place == b.place);
    CHECK(a.look == b.look);
    CHECK(a.as_it_should_be == b.as_it_should_be);
    CHECK(a.exchanged == b.exchanged);
    CHECK(a.direction == b.direction);
    CHECK(a.shown == b.shown);
    CHECK(a.came_down_from == Approx(b.came_down_from));
    CHECK(a.zero_set == b.zero_set);
    if (a.shown == diagnosis::Shown::value || a.shown == diagnosis::Shown::at_least)
        CHECK(a.value == Approx(b.value).epsilon(1e-9).margin(1e-12));
    CHECK(a.uncertainty == Approx(b.uncertainty));
    REQUIRE(a.load.count == b.load.count);
    for (unsigned i = 0; i < static_cast<unsigned>(a.load.count); ++i) {
        CHECK(a.load.standing[i].mass_kg == Approx(b.load.standing[i].mass_kg));
        CHECK(a.load.standing[i].x_m == Approx(b.load.standing[i].x_m));
        CHECK(a.load.standing[i].y_m == Approx(b.load.standing[i].y_m));
    }
}

}  // namespace

TEST_CASE("written sheets read back as they were, in every unit and kind of box", "[files]") {
    for (const char* name : {"quarry-8.toml", "sawmill-4.toml", "elevator-10.toml", "harbour-8.toml"}) {
        const files::ScaleFile scale = scale_file(name);
        field::RandomSource random(5);
        field::SheetPlan plan;
        plan.decreasing = true;
        for (const scale::Cause cause :
             {scale::Cause::open_wire, scale::Cause::rubbing, scale::Cause::crossed_pairs}) {
            INFO(name << ", " << scale::name_of(cause));
            const scale::Fault fault = field::draw_fault_of(scale.description, cause, random);
            const auto sheet = field::simulate_sheet(scale.description, {&fault, 1}, 2, plan);
            const std::string text =
                files::sheet_text({"any.toml", "Two\nlines"}, scale.description, sheet.sheet());
            const files::SheetFile back = read_back(text, scale);
            REQUIRE(back.readings.size() == sheet.readings.size());
            for (std::size_t i = 0; i < back.readings.size(); ++i)
                check_same(back.readings[i], sheet.readings[i]);
        }
    }
}

TEST_CASE("what a simulated sheet does not hold is written, too", "[files]") {
    const files::ScaleFile scale = scale_file("quarry-8.toml");
    std::vector<Reading> readings(6);
    readings[0].load.count = 2;
    readings[0].load.standing[0] = {5000.0, 1.25, 0.75};
    readings[0].load.standing[1] = {3000.0, 6.0, 2.6};
    readings[0].direction = diagnosis::Direction::decreasing;
    readings[0].came_down_from = 3.0;
    readings[0].value = 8000.0;
    readings[0].uncertainty = 5.0;
    readings[1].quantity = diagnosis::Quantity::signal;
    readings[1].connected = true;
    readings[1].is_ratio = true;
    readings[1].value = 1.0e-3;
    readings[2].quantity = diagnosis::Quantity::inspection;
    readings[2].look = diagnosis::Look::gap_at_support;
    readings[2].cell = 3;
    readings[2].as_it_should_be = false;
    readings[3].quantity = diagnosis::Quantity::excitation;
    readings[3].place = diagnosis::ExcitationPlace::cell;
    readings[3].cell = 2;
    readings[3].value = 9.5;
    readings[4].quantity = diagnosis::Quantity::inspection;
    readings[4].look = diagnosis::Look::wire_colours;
    readings[4].cell = 1;
    readings[4].as_it_should_be = false;
    readings[4].exchanged = true;
    readings[4].between_a = scale::Wire::excitation_minus;
    readings[4].between_b = scale::Wire::signal_plus;
    readings[5].zero_set = true;
    diagnosis::Sheet sheet{readings, {}, diagnosis::Zeroed::now, diagnosis::History::unadjusted};
    sheet.instruments.placing_m = 0.2;
    const files::SheetFile back =
        read_back(files::sheet_text({"any.toml", ""}, scale.description, sheet), scale);
    REQUIRE(back.readings.size() == readings.size());
    for (std::size_t i = 0; i < readings.size(); ++i) check_same(back.readings[i], readings[i]);
    CHECK(back.zeroed == diagnosis::Zeroed::now);
    CHECK(back.history == diagnosis::History::unadjusted);
    CHECK(back.instruments.placing_m == 0.2);
}
