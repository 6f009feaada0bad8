#include <catch2/catch.hpp>

#include "sim/files/sheet_load.h"
#include "tests/files/error_matchers.h"
#include "tests/files/sheet_text.h"

using namespace cornerbench;
using namespace cornerbench::files;
using namespace cornerbench::files::testing;

namespace {

diagnosis::Load load_of(const std::string& text) {
    const auto loaded = weight_under(text);
    INFO(text << "\n" << to_string(loaded.errors));
    REQUIRE(loaded);
    return loaded.value->readings[0].load;
}

std::string note(const std::string& load) {
    return weight_under(load).value->notes[0].text;
}

}  // namespace

TEST_CASE("Supports count clockwise from the far left") {
    // Common practice, no source: 1..n along the far side left to right, n+1..2n along the near side right to
    // left.
    const struct {
        int support;
        double x_m;
        double y_m;
    } places[] = {{1, 0.0, 2.5}, {2, 5.0, 2.5}, {3, 5.0, 0.0}, {4, 0.0, 0.0}};
    for (const auto& place : places) {
        const auto load = load_of("{ mass = 1000, over = " + std::to_string(place.support) + " }");
        INFO("support " << place.support);
        REQUIRE(load.count == 1);
        CHECK(load.standing[0].x_m == place.x_m);
        CHECK(load.standing[0].y_m == place.y_m);
    }
}

TEST_CASE("A load on a section stands midway across") {
    const auto load = load_of("{ mass = 1000, section = 2 }");
    CHECK(load.standing[0].x_m == 5.0);
    CHECK(load.standing[0].y_m == 1.25);
    CHECK(note("{ mass = 1000, section = 2 }") == "weight, 1 000 kg across section 2");
}

TEST_CASE("A load stands anywhere on the deck, the overhang included") {
    for (const char* inside : {"[-0.3, 0]", "[5.3, 2.5]", "[2, 1.2]"})
        CHECK(load_of(std::string("{ mass = 1, at = ") + inside + " }").count == 1);
    const auto at = [](const char* place) {
        return weight_under(std::string("{ mass = 1, at = ") + place + " }");
    };
    require_only(at("[-0.31, 1]"),
                 {ErrorKind::out_of_range, 4, "load.at", "x at least -0.3 and at most 5.3 (m)"});
    require_only(at("[5.31, 1]"),
                 {ErrorKind::out_of_range, 4, "load.at", "x at least -0.3 and at most 5.3 (m)"});
    require_only(at("[1, -0.01]"),
                 {ErrorKind::out_of_range, 4, "load.at", "y at least 0 and at most 2.5 (m)"});
    require_only(at("[1, 2.51]"),
                 {ErrorKind::out_of_range, 4, "load.at", "y at least 0 and at most 2.5 (m)"});
    require_only(at("[1, nan]"), {ErrorKind::out_of_range, 4, "load.at", "finite"});
    require_only(at("[1, \"2\"]"), {ErrorKind::wrong_type, 4, "load.at", "must be a number"});
    require_only(at("[1]"), {ErrorKind::wrong_type, 4, "load.at", "[x, y]"});
    require_only(at("[1, 2, 3]"), {ErrorKind::wrong_type, 4, "load.at", "[x, y]"});
    require_only(at("5"), {ErrorKind::wrong_type, 4, "load.at", "[x, y]"});
}

TEST_CASE("Several loads stand together") {
    const auto load =
        load_of("[{ mass = 1000, over = 1 }, { mass = 2000, section = 2 }, { mass = 500, at = [1, 1] }]");
    CHECK(load.count == 3);
    CHECK(load.total_kg() == 3500.0);
    CHECK(note("[{ mass = 1000, over = 1 }, { mass = 500, at = [1, 1] }]") ==
          "weight, 1 000 kg over 1 and 500 kg at (1, 1) m");
}

TEST_CASE("A load that cannot stand there is an error") {
    const auto only = [](const char* load, ErrorKind kind, const char* key, const char* words) {
        INFO(load);
        require_only(weight_under(load), {kind, 4, key, words});
    };
    only("{ mass = 1000, over = 5 }", ErrorKind::out_of_range, "load.over",
         "at least 1 and at most 4 (supports)");
    only("{ mass = 1000, over = 0 }", ErrorKind::out_of_range, "load.over", "at least 1");
    only("{ mass = 1000, over = 1.0 }", ErrorKind::wrong_type, "load.over", "whole number");
    only("{ mass = 1000, section = 3 }", ErrorKind::out_of_range, "load.section",
         "at most 2 (section lines)");
    only("{ mass = 1000 }", ErrorKind::missing_key, "load.over", "section = n, or at = [x, y]");
    only("{ over = 1 }", ErrorKind::missing_key, "load.mass", "(kg)");
    only("{ mass = 0, over = 1 }", ErrorKind::out_of_range, "load.mass", "at least 0.001");
    only("{ mass = -5, over = 1 }", ErrorKind::out_of_range, "load.mass", "(kg)");
    only("{ mass = inf, over = 1 }", ErrorKind::out_of_range, "load.mass", "finite");
    only("{ mass = 1e7, over = 1 }", ErrorKind::out_of_range, "load.mass", "at most 1 000 000 (kg)");
    only("{ mass = 1000, over = 1, section = 1 }", ErrorKind::impossible, "load.section",
         "only one of over, section");
    only("{ mass = 1000, over = 1, at = [1, 1] }", ErrorKind::impossible, "load.at",
         "only one of over, section");
    only("{ mass = 1000, over = 1, posiiton = 1 }", ErrorKind::unknown_key, "load.posiiton",
         "nearest is position");
    only("{ mass = 1000, over = 1, vehicle = \"truck\", position = 1 }", ErrorKind::impossible, "load",
         "a mass and a vehicle");
    only("{ }", ErrorKind::missing_key, "load", "says no load");
    only("\"full\"", ErrorKind::out_of_range, "load", "must be one of \"empty\"");
    only("7", ErrorKind::wrong_type, "load", "must be one of \"empty\"");
    only("[]", ErrorKind::out_of_range, "load", "or a list of loads");
    only("[\"empty\"]", ErrorKind::wrong_type, "load", "loads in braces");
}

TEST_CASE("A weight is read under no more than max and 9 divisions") {
    // OIML R 76-1:2006, 4.2.3: no indication above Max + 9 e (from memory). The scale is for 20 000 kg by 10
    // kg.
    CHECK(weight_under("{ mass = 20090, section = 1 }"));
    require_only(weight_under("{ mass = 20091, section = 1 }"),
                 {ErrorKind::impossible, 4, "load", "must be at most 20 090 kg (max and 9 divisions)"});
    require_only(weight_under("[{ mass = 12000, over = 1 }, { mass = 12000, over = 3 }]"),
                 {ErrorKind::impossible, 4, "load", "is 24 000 kg altogether, on a scale for 20 000 kg"});
    require_only(
        reading_with("what = \"signal\"\ncell = 1\nconnected = true\nload = { mass = 90000, over = 1 "
                     "}\nvalue_mV = 12"),
        {ErrorKind::impossible, 6, "load", "shown = \"over range\""});
    // A display that says so may well stand under more.
    CHECK(reading_with("what = \"weight\"\nload = { mass = 24000, section = 1 }\nshown = \"over range\""));
}

TEST_CASE("A load has at most as many weights as the core holds") {
    std::string many = "[";
    for (int i = 0; i < diagnosis::max_standing; ++i) many += "{ mass = 1, over = 1 },";
    CHECK(load_of(many + "]").count == diagnosis::max_standing);
    require_only(weight_under(many + "{ mass = 1, over = 1 }]"),
                 {ErrorKind::out_of_range, 4, "load", "at most 24 weights and wheels"});
}

TEST_CASE("A vehicle's axles stand half on each wheel track") {
    // The front axle at x = 5, the others 3.5 m and 4.8 m behind it; tracks 1 m either side of the deck's
    // middle.
    const auto load = load_of("{ vehicle = \"truck\", position = 5 }");
    REQUIRE(load.count == 6);
    const struct {
        double mass_kg;
        double x_m;
        double y_m;
    } wheels[] = {{2000.0, 5.0, 0.25}, {2000.0, 5.0, 2.25}, {3000.0, 1.5, 0.25},
                  {3000.0, 1.5, 2.25}, {2500.0, 0.2, 0.25}, {2500.0, 0.2, 2.25}};
    for (unsigned i = 0; i < 6; ++i) {
        INFO("wheel " << i);
        CHECK(load.standing[i].mass_kg == Approx(wheels[i].mass_kg));
        CHECK(load.standing[i].x_m == Approx(wheels[i].x_m));
        CHECK(load.standing[i].y_m == Approx(wheels[i].y_m));
    }
    CHECK(note("{ vehicle = \"truck\", position = 5 }") == "weight, truck with its front axle at 5 m");
}

TEST_CASE("A vehicle may head left, and stand on the deck in part") {
    const auto left = load_of("{ vehicle = \"truck\", position = 0.1, heading = \"left\" }");
    REQUIRE(left.count == 6);
    CHECK(left.standing[4].x_m == Approx(4.9));
    const auto front = load_of("{ vehicle = \"truck\", position = 1 }");
    CHECK(front.count == 2);
    CHECK(front.total_kg() == 4000.0);
    CHECK(note("{ vehicle = \"truck\", position = 1 }") ==
          "weight, truck with its front axle at 1 m (1 of 3 axles on the deck)");
    const auto rear = load_of("{ vehicle = \"truck\", position = 7 }");
    CHECK(rear.total_kg() == 11000.0);
    require_only(weight_under("{ vehicle = \"truck\", position = -0.4 }"),
                 {ErrorKind::impossible, 4, "load.position", "at least -0.3 and at most 10.1 (m)"});
    require_only(weight_under("{ vehicle = \"truck\", position = 5.4, heading = \"left\" }"),
                 {ErrorKind::impossible, 4, "load.position", "at least -5.1 and at most 5.3 (m)"});
}

TEST_CASE("On a narrow deck the wheels stand on the rows of supports") {
    ScaleText narrow = sheet_scale();
    narrow.set("deck", "width_m", "1.6");
    const auto loaded =
        reading_with("what = \"weight\"\nvalue = 1\nload = { vehicle = \"truck\", position = 5 }", narrow);
    REQUIRE(loaded);
    CHECK(loaded.value->readings[0].load.standing[0].y_m == Approx(0.0).margin(1.0e-12));
    CHECK(loaded.value->readings[0].load.standing[1].y_m == Approx(1.6));
}

TEST_CASE("A vehicle needs its file, a position and a heading that exists") {
    require_only(weight_under("{ vehicle = \"truck\" }"),
                 {ErrorKind::missing_key, 4, "load.position", "front axle"});
    require_only(weight_under("{ position = 4 }"),
                 {ErrorKind::missing_key, 4, "load.vehicle", "vehicle file"});
    require_only(weight_under("{ vehicle = \"truck\", position = 4, heading = \"up\" }"),
                 {ErrorKind::out_of_range, 4, "load.heading", "\"right\", \"left\""});
    // The sources of these tests answer any other name with an empty file.
    const auto broken =
        weight_under("[{ vehicle = \"lorry\", position = 4 }, { vehicle = \"lorry\", position = 5 }]");
    INFO(to_string(broken.errors));
    REQUIRE(broken.errors.size() == 3);
    for (const FileError& error : broken.errors) CHECK(error.file == "lorry");
}
