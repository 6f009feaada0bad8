#include <catch2/catch.hpp>

#include <cmath>
#include <filesystem>
#include <fstream>

#include "sim/files/sheet_keys.h"
#include "tests/files/error_matchers.h"
#include "tests/files/sheet_text.h"

using namespace cornerbench;
using namespace cornerbench::files;
using namespace cornerbench::files::testing;
using diagnosis::Direction;
using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::Shown;

namespace {

ScaleText per_cell_scale() {
    ScaleText text = sheet_scale();
    return text.set("box", "converter", "\"per-cell\"");
}

Reading only_reading(const Loaded<SheetFile>& loaded) {
    INFO(to_string(loaded.errors));
    REQUIRE(loaded);
    REQUIRE(loaded.value->readings.size() == 1);
    REQUIRE(loaded.value->notes.size() == 1);
    return loaded.value->readings[0];
}

std::string note(const Loaded<SheetFile>& loaded) {
    return loaded.value->notes[0].text;
}

}  // namespace

TEST_CASE("A sheet without readings is a prior") {
    const auto loaded = sheet_with("");
    INFO(to_string(loaded.errors));
    REQUIRE(loaded);
    CHECK(loaded.value->readings.empty());
    CHECK(loaded.value->sheet().readings.empty());
    CHECK(loaded.value->scale.name == "Yard scale");
    CHECK(loaded.value->zeroed == diagnosis::Zeroed::before);
    CHECK(loaded.value->history == diagnosis::History::calibrated);
    const diagnosis::Instruments defaults;
    for (const InstrumentKey& key : instrument_keys()) {
        CHECK(loaded.value->instruments.*key.member == defaults.*key.member);
    }
}

TEST_CASE("How the readings were taken") {
    const auto loaded = sheet_with(
        "zeroed = \"now\"\nhistory = \"new\"\n[instruments]\nohmmeter_percent = 1\ninsulation_percent = 10\n"
        "millivoltmeter_uV = 2\nvoltmeter_percent = 0.3\nplacing_m = 0.1\ntest_weights_percent = 0.02\n"
        "repeatability_d = 0.5\n");
    INFO(to_string(loaded.errors));
    REQUIRE(loaded);
    const diagnosis::Sheet sheet = loaded.value->sheet();
    CHECK(sheet.zeroed == diagnosis::Zeroed::now);
    CHECK(sheet.history == diagnosis::History::unadjusted);
    CHECK(sheet.instruments.ohmmeter == Approx(1.0e-2));
    CHECK(sheet.instruments.insulation_tester == Approx(0.10));
    CHECK(sheet.instruments.millivoltmeter_V == Approx(2.0e-6));
    CHECK(sheet.instruments.voltmeter == Approx(3.0e-3));
    CHECK(sheet.instruments.placing_m == Approx(0.1));
    CHECK(sheet.instruments.test_weights == Approx(2.0e-4));
    CHECK(sheet.instruments.repeatability_divisions == Approx(0.5));
}

TEST_CASE("A weight") {
    const auto loaded = reading_with(
        "what = \"weight\"\nload = { mass = 10000, over = 3 }\nvalue = 9960\ndirection = \"increasing\"\n"
        "uncertainty = 4");
    const Reading reading = only_reading(loaded);
    CHECK(reading.quantity == Quantity::weight);
    CHECK(reading.value == 9960.0);
    CHECK(reading.uncertainty == 4.0);
    CHECK(reading.direction == Direction::increasing);
    CHECK(reading.shown == Shown::value);
    REQUIRE(reading.load.count == 1);
    CHECK(reading.load.standing[0].mass_kg == 10000.0);
    CHECK(reading.load.standing[0].x_m == 5.0);
    CHECK(reading.load.standing[0].y_m == 0.0);
    CHECK(note(loaded) == "weight, 10 000 kg over 3, increasing");
    CHECK(loaded.value->notes[0].line == 2);
}

TEST_CASE("Weights and loads are in the scale's unit") {
    ScaleText scale = sheet_scale();
    scale.set("", "unit", "\"lb\"").set("", "max", "40000").set("cell", "capacity", "30000");
    const auto loaded = reading_with(
        "what = \"weight\"\nload = { mass = 20000, over = 3 }\nvalue = 19940\nuncertainty = 5\n"
        "direction = \"decreasing\"\nfrom = { mass = 30000 }",
        scale);
    const Reading reading = only_reading(loaded);
    // 1 lb = 0.453 592 37 kg, exact.
    CHECK(reading.load.standing[0].mass_kg == Approx(9071.8474).epsilon(1.0e-14));
    CHECK(reading.value == Approx(19940 * 0.45359237).epsilon(1.0e-14));
    CHECK(reading.uncertainty == Approx(5 * 0.45359237).epsilon(1.0e-14));
    CHECK(reading.came_down_from == Approx(1.5).epsilon(1.0e-14));
    CHECK(note(loaded) == "weight, 20 000 lb over 3, decreasing");
}

TEST_CASE("A load that came down, from twice itself unless told") {
    const auto with = [](const std::string& more) {
        return reading_with("what = \"weight\"\nload = { mass = 4000, section = 1 }\nvalue = 4010\n" + more);
    };
    CHECK(only_reading(with("direction = \"decreasing\"")).came_down_from == 2.0);
    CHECK(only_reading(with("direction = \"decreasing\"\nfrom = { mass = 10000 }")).came_down_from == 2.5);
    CHECK(only_reading(with("")).direction == Direction::unstated);
    CHECK(
        only_reading(reading_with("what = \"weight\"\nload = \"empty\"\nvalue = 1\ndirection = \"returned\""))
            .direction == Direction::returned);
    require_only(with("direction = \"returned\""),
                 {ErrorKind::impossible, 6, "direction", "must be \"decreasing\" while a load stands"});
    require_only(with("direction = \"decreasing\"\nfrom = { mass = 200000 }"),
                 {ErrorKind::out_of_range, 7, "from.mass", "at most max and 9 divisions"});
    require_only(with("direction = \"decreasing\"\nfrom = { mass = 4000 }"),
                 {ErrorKind::out_of_range, 7, "from.mass", "more than the load that still stands, 4 000 kg"});
    require_only(with("from = { mass = 10000 }"), {ErrorKind::impossible, 6, "from", "\"decreasing\""});
    require_only(with("direction = \"decreasing\"\nfrom = 10000"),
                 {ErrorKind::wrong_type, 7, "from", "{ mass = ... }"});
    require_only(with("direction = \"decreasing\"\nfrom = { }"),
                 {ErrorKind::missing_key, 7, "from.mass", "4 000 kg"});
    require_only(with("direction = \"decreasing\"\nfrom = { mass = 9000, mas = 1 }"),
                 {ErrorKind::unknown_key, 7, "from.mas", "nearest is mass"});
    require_only(with("direction = \"down\""),
                 {ErrorKind::out_of_range, 6, "direction", "\"increasing\", \"decreasing\", \"returned\""});
    require_only(reading_with("what = \"weight\"\nload = \"empty\"\nvalue = 1\ndirection = \"decreasing\""),
                 {ErrorKind::impossible, 6, "direction", "\"returned\""});
}

TEST_CASE("A signal, lifted or connected, in mV or mV/V") {
    const auto lifted =
        reading_with("what = \"signal\"\ncell = 3\nload = \"empty\"\nconnected = false\nvalue_mV = 3.31");
    const Reading reading = only_reading(lifted);
    CHECK(reading.quantity == Quantity::signal);
    CHECK(reading.cell == 2);
    CHECK_FALSE(reading.connected);
    CHECK_FALSE(reading.is_ratio);
    CHECK(reading.value == Approx(3.31e-3));
    CHECK(reading.load.count == 0);
    CHECK(reading.lifted_excitation_V == 0.0);
    CHECK(note(lifted) == "signal of cell 3, lifted, empty");

    const auto fed = reading_with(
        "what = \"signal\"\ncell = 3\nload = \"empty\"\nconnected = false\nexcitation_V = 9.1\n"
        "value_mV_per_V = -0.41\nuncertainty = 0.01");
    CHECK(only_reading(fed).lifted_excitation_V == 9.1);
    CHECK(only_reading(fed).is_ratio);
    CHECK(only_reading(fed).value == Approx(-0.41e-3));
    CHECK(only_reading(fed).uncertainty == Approx(0.01e-3));

    const auto connected = reading_with(
        "what = \"signal\"\ncell = 1\nload = { mass = 500, over = 1 }\nconnected = true\nshown = \"under "
        "range\"");
    CHECK(only_reading(connected).connected);
    CHECK(only_reading(connected).shown == Shown::under_range);
    CHECK(note(connected) == "signal of cell 1, connected, 500 kg over 1");
}

TEST_CASE("A resistance between two wires") {
    const auto loaded =
        reading_with("what = \"resistance\"\ncell = 3\nbetween = [\"E+\", \"S-\"]\nvalue_ohm = 291.4");
    const Reading reading = only_reading(loaded);
    CHECK(reading.quantity == Quantity::resistance);
    CHECK(reading.between_a == scale::Wire::excitation_plus);
    CHECK(reading.between_b == scale::Wire::signal_minus);
    CHECK(reading.value == 291.4);
    CHECK(note(loaded) == "resistance of cell 3, E+ to S-");
    const std::string keys = "what = \"resistance\"\ncell = 3\nbetween = [\"S+\", \"shield\"]\n";
    CHECK(only_reading(reading_with(keys + "value_kohm = 2.5")).value == 2500.0);
    CHECK(only_reading(reading_with(keys + "value_Mohm = 4")).value == 4.0e6);
    CHECK(only_reading(reading_with(keys + "value_Mohm = 4\nuncertainty = 0.5")).uncertainty == 0.5e6);
    CHECK(only_reading(reading_with(keys + "value_ohm = 0")).value == 0.0);
}

TEST_CASE("A meter that ends there says so much at least") {
    const std::string keys = "what = \"resistance\"\ncell = 3\nbetween = [\"S+\", \"shield\"]\n";
    const Reading reading = only_reading(reading_with(keys + "at_least_Mohm = 500"));
    CHECK(reading.shown == Shown::at_least);
    CHECK(reading.value == 5.0e8);
    CHECK(only_reading(reading_with(keys + "at_least_kohm = 40")).value == 4.0e4);
    CHECK(only_reading(reading_with(keys + "at_least_ohm = 2e9")).value == 2.0e9);
    CHECK(only_reading(reading_with(keys + "at_least_Mohm = 500\nuncertainty = 25")).uncertainty == 2.5e7);
    require_only(reading_with(keys + "at_least_Mohm = inf"),
                 {ErrorKind::out_of_range, 6, "at_least_Mohm", "finite"});
    require_only(reading_with(keys + "at_least_Mohm = 0"),
                 {ErrorKind::out_of_range, 6, "at_least_Mohm", "at least"});
    require_only(reading_with(keys + "value_ohm = 350\nat_least_Mohm = 500"),
                 {ErrorKind::impossible, 7, "at_least_Mohm", "must be only one value"});
    require_only(reading_with(keys + "at_least_Mohm = 500\nshown = \"over range\""),
                 {ErrorKind::impossible, 7, "shown", "must be left out"});
    require_only(reading_with("what = \"excitation\"\nat = \"box\"\nvalue_V = 9.9\nat_least_Mohm = 500"),
                 {ErrorKind::unknown_key, 6, "at_least_Mohm", "belongs to resistance"});
}

TEST_CASE("An ohmmeter's over range may be inf, and nothing else may") {
    const std::string keys = "what = \"resistance\"\ncell = 3\nbetween = [\"S+\", \"shield\"]\n";
    const Reading reading = only_reading(reading_with(keys + "value_ohm = inf"));
    CHECK(reading.shown == Shown::over_range);
    CHECK(std::isfinite(reading.value));
    CHECK(only_reading(reading_with(keys + "value_Mohm = +inf")).shown == Shown::over_range);
    CHECK(only_reading(reading_with(keys + "shown = \"over range\"")).shown == Shown::over_range);
    for (const char* value : {"-inf", "nan"}) {
        require_only(reading_with(keys + "value_ohm = " + value),
                     {ErrorKind::out_of_range, 6, "value_ohm", "finite"});
    }
    require_only(reading_with(keys + "value_ohm = inf\nuncertainty = 1"),
                 {ErrorKind::impossible, 7, "uncertainty", "must be left out"});
    require_only(weight_under("\"empty\"\nuncertainty = inf"),
                 {ErrorKind::out_of_range, 5, "uncertainty", "finite"});
    require_only(reading_with("what = \"weight\"\nload = \"empty\"\nvalue = inf"),
                 {ErrorKind::out_of_range, 5, "value", "finite"});
    require_only(reading_with("what = \"excitation\"\nat = \"box\"\nvalue_V = inf"),
                 {ErrorKind::out_of_range, 5, "value_V", "finite"});
}

TEST_CASE("Excitation at a cell, the box or the indicator") {
    const auto at_cell = reading_with("what = \"excitation\"\ncell = 4\nvalue_V = 9.87");
    CHECK(only_reading(at_cell).place == diagnosis::ExcitationPlace::cell);
    CHECK(only_reading(at_cell).cell == 3);
    CHECK(only_reading(at_cell).value == 9.87);
    CHECK(note(at_cell) == "excitation at cell 4");
    const auto at_box = reading_with("what = \"excitation\"\nat = \"box\"\nvalue_V = 9.87");
    CHECK(only_reading(at_box).place == diagnosis::ExcitationPlace::box);
    CHECK(note(at_box) == "excitation at the box");
    const auto at_indicator = reading_with("what = \"excitation\"\nat = \"indicator\"\nvalue_V = 9.87");
    CHECK(only_reading(at_indicator).place == diagnosis::ExcitationPlace::indicator);
    CHECK(note(at_indicator) == "excitation at the indicator");
}

TEST_CASE("Things seen") {
    const auto seen = [](const std::string& keys) {
        return reading_with("what = \"inspection\"\n" + keys + "\nfound = \"not\"");
    };
    const auto arrow = seen("look = \"load arrow\"\ncell = 2");
    CHECK(only_reading(arrow).look == diagnosis::Look::load_arrow);
    CHECK(only_reading(arrow).cell == 1);
    CHECK_FALSE(only_reading(arrow).as_it_should_be);
    CHECK(note(arrow) == "load arrow of cell 2");
    CHECK(only_reading(seen("look = \"wire colours\"\ncell = 2")).look == diagnosis::Look::wire_colours);
    CHECK_FALSE(only_reading(seen("look = \"wire colours\"\ncell = 2")).exchanged);
    const auto wires = only_reading(seen("look = \"wire colours\"\ncell = 2\nexchanged = [\"S-\", \"E+\"]"));
    CHECK(wires.exchanged);
    CHECK(wires.between_a == scale::Wire::signal_minus);
    CHECK(wires.between_b == scale::Wire::excitation_plus);
    CHECK(only_reading(seen("look = \"trim\"\ncell = 2")).look == diagnosis::Look::trim);
    CHECK(only_reading(seen("look = \"terminals\"\ncell = 2")).look == diagnosis::Look::terminals);
    const auto gap = seen("look = \"gap at support\"\nsupport = 4");
    CHECK(only_reading(gap).look == diagnosis::Look::gap_at_support);
    CHECK(only_reading(gap).cell == 3);
    CHECK(note(gap) == "gap at support 4");
    CHECK(only_reading(seen("look = \"gap at support\"\ncell = 4")).cell == 3);
    const auto end = seen("look = \"end gap\"");
    CHECK(only_reading(end).look == diagnosis::Look::end_gap);
    CHECK(note(end) == "end gap");
    CHECK(only_reading(reading_with("what = \"inspection\"\nlook = \"end gap\"\nfound = \"as it should be\""))
              .as_it_should_be);
}

TEST_CASE("One channel of a box with a converter per cell") {
    const std::string keys =
        "what = \"channel\"\ncell = 2\nload = { mass = 100, at = [2, 1] }\nvalue_mV_per_V = 0.7";
    const auto loaded = reading_with(keys, per_cell_scale());
    CHECK(only_reading(loaded).quantity == Quantity::channel);
    CHECK(only_reading(loaded).is_ratio);
    CHECK(only_reading(loaded).value == Approx(0.7e-3));
    CHECK(note(loaded) == "channel of cell 2, 100 kg at (2, 1) m");
    require_only(reading_with(keys), {ErrorKind::impossible, 3, "what", "one converter on the summed bus"});
}

TEST_CASE("Readings keep their order and their lines") {
    const auto loaded = sheet_with(
        "[[reading]]\nwhat = \"weight\"\nload = \"empty\"\nvalue = 20\n\n[[reading]]\nwhat = \"weight\"\n"
        "load = \"empty\"\nshown = \"blank\"\n");
    INFO(to_string(loaded.errors));
    REQUIRE(loaded);
    CHECK(loaded.value->notes[0].line == 2);
    CHECK(loaded.value->notes[1].line == 7);
    CHECK(loaded.value->sheet().readings[0].value == 20.0);
    CHECK(loaded.value->sheet().readings[1].shown == Shown::blank);
}

TEST_CASE("A sheet on disk finds its scale and its vehicles") {
    const auto folder = std::filesystem::temp_directory_path() / "cornerbench-sheet-file-test";
    std::filesystem::remove_all(folder);
    for (const char* sub : {"scales", "sheets/site", "vehicles"})
        std::filesystem::create_directories(folder / sub);
    std::ofstream(folder / "scales/yard.toml") << sheet_scale().text();
    std::ofstream(folder / "vehicles/truck.toml") << sheet_vehicle;
    const std::string path = (folder / "sheets/site/monday.toml").string();
    const auto write = [&](const std::string& scale, const std::string& vehicle) {
        std::ofstream(path) << "scale = \"" << scale
                            << "\"\n[[reading]]\nwhat = \"weight\"\nvalue = 1\nload = { vehicle = \""
                            << vehicle << "\", position = 5 }\n";
    };
    write("../../scales/yard.toml", "truck");
    const auto by_name = load_sheet(path);
    INFO(to_string(by_name.errors));
    REQUIRE(by_name);
    CHECK(by_name.value->readings[0].load.total_kg() == 15000.0);
    CHECK(by_name.value->scale.path == (folder / "scales/yard.toml").string());
    write("../../scales/yard.toml", "../../vehicles/truck.toml");
    CHECK(load_sheet(path));

    write("../../scales/yrad.toml", "lorry");
    const auto absent = load_sheet(path);
    CHECK(absent.unreadable());
    CHECK(count_of(absent.errors, {ErrorKind::unreadable, 1, "scale", "scales/yrad.toml: cannot be read"}) ==
          1);
    CHECK(count_of(absent.errors, {ErrorKind::unreadable, 5, "load.vehicle", "lorry"}) == 1);
    require_only(load_sheet((folder / "sheets/none.toml").string()),
                 {ErrorKind::unreadable, 0, "", "cannot be read"});
    std::filesystem::remove_all(folder);
}

TEST_CASE("The printed keys of a sheet fit a terminal") {
    const std::string text = sheet_keys_text();
    std::size_t start = 0;
    while (start < text.size()) {
        const std::size_t end = text.find('\n', start);
        INFO(text.substr(start, end - start));
        CHECK(end - start <= 80);
        start = end + 1;
    }
    for (const SheetKey& key : sheet_keys()) {
        CHECK(text.find("  " + std::string(key.name) + ": ") != std::string::npos);
    }
}
