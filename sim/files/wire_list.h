#pragma once

#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "firmware/scale/wire.h"
#include "sim/files/table_view.h"

namespace cornerbench::files {

/// Two different wires that stand as a list under `key`, of those named by `words` in the order of
/// scale::Wire; nothing, with what is wrong among the view's findings, where there is no such list. `valid`
/// says in words what would be valid.
std::optional<std::array<scale::Wire, 2>> two_wires(const TableView& view, std::string_view key,
                                                    std::span<const std::string_view> words,
                                                    const std::string& valid);

}  // namespace cornerbench::files
