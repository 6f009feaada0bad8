#pragma once

#include <catch2/catch.hpp>
#include <string>

#include "sim/files/test_sheet.h"
#include "tests/cli/command_line.h"

/// Test sheets of shipped scales, filled line by line.
namespace cornerbench {

struct Desk {
    files::TestSheet sheet;
    files::Standard standard;
};

/// An empty sheet of a shipped scale.
inline Desk desk(const std::string& name, files::Stage stage) {
    Desk d;
    const auto scale = files::load_scale(cli::config("scales/" + name + ".toml"));
    REQUIRE(scale);
    d.sheet.scale = *scale.value;
    d.sheet.stage = stage;
    d.sheet.weights_kg = scale.value->description.max_kg;
    const auto standard = files::find_standard(scale.value->standard, scale.value->path);
    REQUIRE(standard);
    d.standard = *standard.value;
    return d;
}

inline files::TestLine read_line(files::TestKind kind, files::TestPlace place, double load_kg,
                                 double indication_kg, double added_kg) {
    files::TestLine line{kind, place, load_kg};
    line.indication_kg = indication_kg;
    line.added_kg = added_kg;
    return line;
}

inline const files::TestPlace spread{files::PlaceKind::spread, 0};

}  // namespace cornerbench
