#include <catch2/catch.hpp>

#include <filesystem>
#include <fstream>

#include "firmware/weighing/gravity.h"
#include "sim/files/conductor.h"
#include "sim/files/scale_file.h"
#include "tests/files/error_matchers.h"
#include "tests/files/scale_text.h"

using namespace cornerbench;
using namespace cornerbench::files;
using namespace cornerbench::files::testing;

TEST_CASE("Every key reaches its field, in SI units") {
    const auto loaded = ScaleText::full().load();
    INFO(to_string(loaded.errors));
    REQUIRE(loaded);
    const ScaleFile& file = *loaded.value;
    const scale::Description& d = file.description;
    CHECK(file.name == "Yard scale");
    CHECK(file.path == "yard.toml");
    CHECK(file.standard == "OIML R 76");
    CHECK(file.accuracy_class == "III");
    CHECK(d.unit == scale::MassUnit::kilogram);
    CHECK(d.max_kg == 20000.0);
    CHECK(d.division_kg == 10.0);
    CHECK(d.gravity == weighing::local_gravity(-33.5, 120.0));
    CHECK(d.deck.mass_kg == 6000.0);
    CHECK(d.deck.sections == 2);
    CHECK(d.deck.section_x_m[0] == 0.0);
    CHECK(d.deck.section_x_m[1] == 5.0);
    CHECK(d.deck.width_m == 2.5);
    CHECK(d.deck.overhang_m == 0.3);
    CHECK(d.deck.twist_stiffness_N_m_per_rad == Approx(9.0e6));
    CHECK(d.deck.joint_stiffness_N_m_per_rad == Approx(12.0e3));
    CHECK(d.support_stiffness_N_per_m == Approx(70.0e6));
    CHECK(d.cell_count() == 4);
    CHECK(d.cable_area_mm2 == gauge_area_mm2(20));
    CHECK(d.cable_temperature_C == -5.0);
    CHECK(d.converter == scale::Converter::per_cell);
    CHECK(d.contact_ohm == 0.03);
    CHECK(d.trim.kind == scale::TrimKind::signal_shunt);
    CHECK(d.trim.total_ohm == 50000.0);
    CHECK(d.trim.turns == 20.0);
    CHECK(d.trim.fixed_ohm == 5000.0);
    CHECK(d.trim.mixing_ohm == 300.0);
    CHECK(d.home_run_wires == 4);
    CHECK(d.home_run_m == 25.0);
    CHECK(d.home_run_area_mm2 == 1.5);
    CHECK(d.excitation_V == 5.0);
    CHECK(d.source_ohm == 0.5);
    CHECK(d.converter_bits == 20);
    CHECK(d.full_scale_V_per_V == Approx(7.8e-3));
    CHECK(d.rate_Hz == 50.0);
    CHECK(d.noise_V_rms == Approx(40.0e-9));
    CHECK(d.input_ohm == Approx(1.0e8));
    CHECK(d.shield_bond == scale::ShieldBond::floating);
    CHECK(d.sense_fallback_ohm == Approx(47.0e3));
    for (unsigned i = 0; i < 4; ++i) {
        INFO("cell " << i + 1);
        const scale::Cell& cell = d.cells[i];
        CHECK(cell.capacity_kg == 15000.0);
        CHECK(cell.rated_output_V_per_V == Approx(2.85e-3));
        CHECK(cell.rated_output_tolerance == Approx(0.25e-2));
        CHECK(cell.zero_tolerance == Approx(2.0e-2));
        CHECK(cell.input_ohm == 385.0);
        CHECK(cell.output_ohm == 340.0);
        CHECK(cell.input_tolerance == Approx(2.0e-2));
        CHECK(cell.output_tolerance == Approx(0.3e-2));
        CHECK(cell.insulation_ohm == Approx(2.0e9));
        CHECK(cell.nonlinearity == Approx(0.02e-2));
        CHECK(cell.hysteresis == Approx(-0.03e-2));
        CHECK(cell.creep == Approx(0.04e-2));
        // 0.05 % of rated output in 10 K.
        CHECK(cell.zero_per_K == Approx(0.05e-2 / 10.0));
        CHECK(cell.span_per_K == Approx(-0.06e-2 / 10.0));
        CHECK(cell.cable_m == 12.0);
        CHECK(cell.trim_at == 15.0);
        CHECK(file.colours[i] == WireColours{"red", "black", "green", "white", "bare"});
    }
    CHECK(d.cells[4].capacity_kg == 0.0);
}

TEST_CASE("Masses are in the file's own unit") {
    ScaleText pounds = ScaleText::small();
    pounds.set("", "unit", "\"lb\"").set("", "max", "120000").set("", "division", "20");
    pounds.set("cell", "capacity", "50000").set("deck", "mass", "30000");
    pounds.set("", "standard", "\"NIST Handbook 44\"").set("", "class", "\"III L\"");
    const auto in_pounds = pounds.load();
    INFO(to_string(in_pounds.errors));
    REQUIRE(in_pounds);
    const scale::Description& d = in_pounds.value->description;
    CHECK(d.unit == scale::MassUnit::pound);
    // International avoirdupois pound, exact: 0.453 592 37 kg (NIST Handbook 44, appendix C).
    CHECK(d.max_kg == Approx(54431.0844).epsilon(1.0e-15));
    CHECK(d.division_kg == Approx(9.0718474).epsilon(1.0e-15));
    CHECK(d.cells[3].capacity_kg == Approx(22679.6185).epsilon(1.0e-15));
    CHECK(d.deck.mass_kg == Approx(13607.7711).epsilon(1.0e-15));

    ScaleText tonnes = ScaleText::small();
    tonnes.set("", "unit", "\"t\"")
        .set("", "max", "60")
        .set("", "division", "0.02")
        .set("cell", "capacity", "30");
    const auto in_tonnes = tonnes.load();
    INFO(to_string(in_tonnes.errors));
    REQUIRE(in_tonnes);
    CHECK(in_tonnes.value->description.max_kg == 60000.0);
    CHECK(in_tonnes.value->description.division_kg == Approx(20.0));
    CHECK(in_tonnes.value->description.cells[0].capacity_kg == 30000.0);
}

TEST_CASE("A range of masses is told in the file's own unit") {
    ScaleText text = ScaleText::small();
    text.set("", "unit", "\"t\"")
        .set("", "max", "1001")
        .set("", "division", "0.02")
        .set("cell", "capacity", "30");
    require_only(text.load(), {ErrorKind::out_of_range, 3, "max", "at least 0.001 and at most 1 000 (t)"});
}

TEST_CASE("[[cells]] overrides any key for one cell") {
    ScaleText text = ScaleText::full();
    text.append(
        "[[cells]]\n"
        "number = 2\n"
        "capacity = 20000\n"
        "rated_output_mV_per_V = 3\n"
        "trim_at = 3.5\n"
        "cable_length_m = 18\n"
        "colours = { \"S+\" = \"white\", \"S-\" = \"green\" }\n"
        "[[cells]]\n"
        "number = 4\n"
        "insulation_Mohm = 10\n");
    const auto loaded = text.load();
    INFO(to_string(loaded.errors) << to_string(loaded.warnings));
    REQUIRE(loaded);
    const auto& cells = loaded.value->description.cells;
    CHECK(cells[1].capacity_kg == 20000.0);
    CHECK(cells[1].rated_output_V_per_V == Approx(3.0e-3));
    CHECK(cells[1].trim_at == 3.5);
    CHECK(cells[1].cable_m == 18.0);
    CHECK(cells[1].input_ohm == 385.0);
    CHECK(loaded.value->colours[1] == WireColours{"red", "black", "white", "green", "bare"});
    CHECK(cells[3].insulation_ohm == Approx(1.0e7));
    CHECK(cells[3].capacity_kg == 15000.0);
    for (const unsigned other : {0u, 2u}) {
        CHECK(cells[other].capacity_kg == 15000.0);
        CHECK(cells[other].trim_at == 15.0);
        CHECK(cells[other].cable_m == 12.0);
        CHECK(loaded.value->colours[other] == WireColours{"red", "black", "green", "white", "bare"});
    }
}

TEST_CASE("Gravity is given by place or by value, inline or as a table") {
    ScaleText text = ScaleText::small();
    CHECK(text.load().value->description.gravity == 9.81);
    text.remove("gravity", "g");
    text.set("", "gravity", "{ latitude_deg = 45, height_m = 1000 }");
    // GRS80 at 45 degrees 9.806199203 (Geodesist's Handbook 1988), free air -3.086e-6 per s2.
    CHECK(text.load().value->description.gravity == Approx(9.806199203 - 3.086e-3).epsilon(0).margin(1.0e-9));
    text.set("", "gravity", "{ latitude_deg = 45 }");
    CHECK(text.load().value->description.gravity == Approx(9.806199203).epsilon(0).margin(1.0e-9));
}

TEST_CASE("A scale can be read from disk, and a missing one is the host's error") {
    const auto folder = std::filesystem::temp_directory_path() / "cornerbench-scale-file-test";
    std::filesystem::create_directories(folder);
    const std::string path = (folder / "yard.toml").string();
    std::ofstream(path) << ScaleText::small().text();
    const auto loaded = load_scale(path);
    REQUIRE(loaded);
    CHECK(loaded.value->path == path);

    const std::string absent = (folder / "absent.toml").string();
    const auto missing = load_scale(absent);
    require_only(missing, {ErrorKind::unreadable, 0, "", "cannot be read"});
    CHECK(missing.unreadable());
    CHECK(missing.errors[0].file == absent);
    require_only(load_scale(folder.string()), {ErrorKind::unreadable, 0, "", "is a folder"});
    std::filesystem::remove_all(folder);
}
