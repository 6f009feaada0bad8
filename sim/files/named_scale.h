#pragma once

#include <optional>

#include "sim/files/sheet_file.h"
#include "sim/files/table_view.h"

namespace cornerbench::files {

/// The scale that `root` names under `scale`, which it must have; nothing, with errors reported, when the
/// name is missing or the scale's own file is not usable. `here` is what names it, such as "sheet".
std::optional<ScaleFile> read_named_scale(const TableView& root, const SheetSources& sources,
                                          std::string_view here);

}  // namespace cornerbench::files
