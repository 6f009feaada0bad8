#pragma once

#include <string>

#include "sim/files/sheet_file.h"
#include "tests/files/scale_text.h"

/// Reading sheets in memory, on a scale of 4 supports: 1 far left, 2 far right, 3 near right, 4 near left;
/// section lines at 0 and 5 m, 2.5 m wide, 0.3 m of overhang.
namespace cornerbench::files::testing {

inline ScaleText sheet_scale() {
    ScaleText text = ScaleText::small();
    return text.set("deck", "overhang_m", "0.3");
}

inline constexpr const char* sheet_vehicle = R"(name = "truck"
unit = "kg"
[[axle]]
mass = 4000
[[axle]]
mass = 6000
spacing_m = 3.5
[[axle]]
mass = 5000
spacing_m = 1.3
)";

/// Sources that know one scale, "yard.toml", and one vehicle, "truck".
inline SheetSources sources_with(const ScaleText& scale) {
    return {
        [scale](const std::string& path) {
            return parse_scale(path == "yard.toml" ? scale.text() : "", path);
        },
        [](const std::string& name) { return parse_vehicle(name == "truck" ? sheet_vehicle : "", name); }};
}

/// A sheet with these readings below its first line.
inline Loaded<SheetFile> sheet_with(const std::string& rest, const ScaleText& scale = sheet_scale()) {
    return parse_sheet("scale = \"yard.toml\"\n" + rest, "sheet.toml", sources_with(scale));
}

/// A sheet with one [[reading]], whose first key stands in line 3.
inline Loaded<SheetFile> reading_with(const std::string& keys, const ScaleText& scale = sheet_scale()) {
    return sheet_with("[[reading]]\n" + keys + "\n", scale);
}

/// The same with a weight under this load; `load` stands in line 4.
inline Loaded<SheetFile> weight_under(const std::string& load) {
    return reading_with("what = \"weight\"\nload = " + load + "\nvalue = 1");
}

}  // namespace cornerbench::files::testing
