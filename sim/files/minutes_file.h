#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "sim/field/check_minutes.h"
#include "sim/files/file_error.h"
#include "sim/files/key_text.h"
#include "sim/files/range.h"

/// How long checks take here.
///
///     [minutes]
///     move_weight = 10                   # a truck with weights instead of a forklift
///     look_under_deck = 2                # a pit one can stand in
namespace cornerbench::files {

/// Every key of a file of minutes.
const std::vector<PlainKey>& minutes_keys();

/// The keys for people, with an example, as text in 80 columns.
std::string minutes_keys_text();

/// A key of the file with the number it stands for.
struct MinutesKey {
    std::string_view name{};
    double field::CheckMinutes::*minutes = nullptr;
    std::string_view meaning{};
    Range range{0.1, 600.0};
};

/// The same as fields of `CheckMinutes`, all of them.
const std::vector<MinutesKey>& minutes_fields();

/// Reads the minutes at `path`. All errors at once.
Loaded<field::CheckMinutes> load_minutes(const std::string& path);

/// The same from text in memory; `path` only names it in errors.
Loaded<field::CheckMinutes> parse_minutes(std::string_view text, const std::string& path);

}  // namespace cornerbench::files
