#pragma once

#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "sim/field/part_tolerances.h"
#include "sim/files/file_error.h"
#include "sim/files/key_text.h"
#include "sim/files/range.h"

/// How far parts may stray.
///
///     [tolerances]
///     output_resistance_percent = 0.1    # cells selected by resistance
///     temperature_K = 35                 # a yard without shade
namespace cornerbench::files {

/// Every key of a file of tolerances.
const std::vector<PlainKey>& tolerances_keys();

/// The keys for people, with an example, as text in 80 columns.
std::string tolerances_keys_text();

/// A key of the file with the number it stands for.
struct ToleranceKey {
    using Own = double field::PartTolerances::*;
    using FromScale = std::optional<double> field::PartTolerances::*;

    std::string_view name{};
    std::variant<Own, FromScale> value{};
    Range valid{};
    std::string_view unit{};
    std::string_view meaning{};
};

/// The same as fields of `PartTolerances`, all of them.
const std::vector<ToleranceKey>& tolerance_fields();

/// Reads the tolerances at `path`. All errors at once.
Loaded<field::PartTolerances> load_tolerances(const std::string& path);

/// The same from text in memory; `path` only names it in errors.
Loaded<field::PartTolerances> parse_tolerances(std::string_view text, const std::string& path);

}  // namespace cornerbench::files
