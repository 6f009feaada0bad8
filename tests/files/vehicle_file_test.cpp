#include <catch2/catch.hpp>

#include <filesystem>
#include <sstream>
#include <string>

#include "sim/files/vehicle_file.h"
#include "tests/files/error_matchers.h"

using namespace cornerbench::files;
using namespace cornerbench::files::testing;

namespace {

Loaded<Vehicle> vehicle(const std::string& text) {
    return parse_vehicle(text, "truck.toml");
}

}  // namespace

TEST_CASE("A vehicle's axles follow each other from the front") {
    const auto loaded = vehicle(
        "name = \"truck\"\nunit = \"t\"\n[[axle]]\nmass = 4\n[[axle]]\nmass = 6\nspacing_m = 3.5\n[[axle]]\n"
        "mass = 5\nspacing_m = 1.3\n");
    INFO(to_string(loaded.errors));
    REQUIRE(loaded);
    CHECK(loaded.value->name == "truck");
    CHECK(loaded.value->total_kg() == Approx(15000.0));
    REQUIRE(loaded.value->axles.size() == 3);
    CHECK(loaded.value->axles[0].behind_front_m == 0.0);
    CHECK(loaded.value->axles[1].behind_front_m == 3.5);
    CHECK(loaded.value->axles[2].behind_front_m == Approx(4.8));
    CHECK(loaded.value->axles[1].mass_kg == Approx(6000.0));
}

TEST_CASE("All errors of a vehicle are reported at once") {
    const auto loaded = vehicle(
        "nmae = \"truck\"\nunit = \"kilo\"\n[[axle]]\nmass = 4\nspacing_m = 1\n[[axle]]\nmass = "
        "-6\n[[axle]]\n"
        "spacing_m = 0\n");
    INFO(to_string(loaded.errors));
    const Expected expected[] = {
        {ErrorKind::missing_key, 0, "name", "text"},
        {ErrorKind::unknown_key, 1, "nmae", "nearest is name"},
        {ErrorKind::out_of_range, 2, "unit", "\"kg\", \"t\", \"lb\""},
        {ErrorKind::impossible, 5, "#1 spacing_m", "must be left out"},
        {ErrorKind::missing_key, 6, "#2 spacing_m", "at least 0.3 and at most 30 (m)"},
        {ErrorKind::out_of_range, 7, "#2 mass", "at least 1"},
        {ErrorKind::missing_key, 8, "#3 mass", "at least 1"},
        {ErrorKind::out_of_range, 9, "#3 spacing_m", "at least 0.3"},
    };
    for (const Expected& one : expected) {
        INFO(one.key);
        CHECK(count_of(loaded.errors, one) == 1);
    }
    CHECK(loaded.errors.size() == std::size(expected));
}

TEST_CASE("A vehicle's file says how it brakes and bounces, or leaves it to the yard") {
    const std::string axle = "[[axle]]\nmass = 5000\n";
    const std::string start = "name = \"truck\"\nunit = \"kg\"\n";
    const auto plain = vehicle(start + axle);
    REQUIRE(plain);
    CHECK_FALSE(plain.value->braking_m_per_s2);
    CHECK_FALSE(plain.value->bounce_Hz);
    CHECK_FALSE(plain.value->bounce_damping);
    CHECK_FALSE(plain.value->bounce_share);
    const auto said = vehicle(
        start + "braking_m_per_s2 = 0.5\nbounce_Hz = 4\nbounce_damping = 0.1\nbounce_share = 0\n" + axle);
    INFO(to_string(said.errors));
    REQUIRE(said);
    CHECK(said.value->braking_m_per_s2 == 0.5);
    CHECK(said.value->bounce_Hz == 4.0);
    CHECK(said.value->bounce_damping == 0.1);
    CHECK(said.value->bounce_share == 0.0);

    require_only(vehicle(start + "bounce_Hz = 4.1\n" + axle),
                 {ErrorKind::out_of_range, 3, "bounce_Hz", "at least 1.5 and at most 4 (Hz)"});
    require_only(vehicle(start + "bounce_Hz = 1.4\n" + axle),
                 {ErrorKind::out_of_range, 3, "bounce_Hz", "at least 1.5 and at most 4 (Hz)"});
    require_only(vehicle(start + "bounce_damping = 1\n" + axle),
                 {ErrorKind::out_of_range, 3, "bounce_damping", "at least 0.01 and at most 0.7"});
    require_only(vehicle(start + "bounce_share = 0.6\n" + axle),
                 {ErrorKind::out_of_range, 3, "bounce_share", "at most 0.5"});
    require_only(vehicle(start + "braking_m_per_s2 = 0\n" + axle),
                 {ErrorKind::out_of_range, 3, "braking_m_per_s2", "at least 0.1 and at most 5 (m/s2)"});
    require_only(vehicle(start + "bounce_hz = 2\n" + axle),
                 {ErrorKind::unknown_key, 3, "bounce_hz", "nearest is bounce_Hz"});
}

TEST_CASE("A vehicle has one to twelve axles") {
    const std::string start = "name = \"truck\"\nunit = \"kg\"\n";
    require_only(vehicle(start), {ErrorKind::missing_key, 0, "axle", "[[axle]]"});
    require_only(vehicle(start + "axle = []\n"), {ErrorKind::out_of_range, 3, "axle", "at least one"});
    require_only(vehicle(start + "axle = 7\n"), {ErrorKind::wrong_type, 3, "axle", "[[axle]]"});
    std::string axles = "[[axle]]\nmass = 5000\n";
    for (int i = 1; i < max_axles; ++i) axles += "[[axle]]\nmass = 5000\nspacing_m = 1.3\n";
    CHECK(vehicle(start + axles));
    require_only(vehicle(start + axles + "[[axle]]\nmass = 5000\nspacing_m = 1.3\n"),
                 {ErrorKind::out_of_range, 3, "axle", "has 13 axles: must be at most 12"});
}

TEST_CASE("The printed keys of a vehicle name every key and fit a terminal") {
    const std::string text = vehicle_keys_text();
    for (const PlainKey& key : vehicle_keys()) {
        CHECK(text.find("  " + std::string(key.name) + ": ") != std::string::npos);
    }
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) CHECK(line.size() <= key_text_columns);
}

TEST_CASE("Every vehicle that ships loads") {
    int count = 0;
    for (const auto& entry :
         std::filesystem::directory_iterator(CORNERBENCH_SOURCE_DIR "/configs/vehicles")) {
        const auto loaded = load_vehicle(entry.path().string());
        INFO(entry.path() << "\n" << to_string(loaded.errors));
        CHECK(loaded);
        ++count;
    }
    CHECK(count >= 2);
}
