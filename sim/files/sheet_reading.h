#pragma once

#include <optional>
#include <string>

#include "firmware/diagnosis/reading.h"
#include "sim/files/sheet_file.h"
#include "sim/files/table_view.h"

/// One reading of a sheet.
namespace cornerbench::files {

/// A reading with what the sheet notes beside it.
struct NotedReading {
    diagnosis::Reading reading;
    ReadingNote note;
};

/// Reads one [[reading]] and reports all its errors; nothing when it does not say what it is. `scale` is null
/// while the scale file is unusable: then cells, supports and places are only checked against what the core
/// can hold.
std::optional<NotedReading> read_reading(const TableView& view, const ScaleFile* scale,
                                         const SheetSources& sources);

/// The same of a reading that somebody is asked to take: without its value, which is left at 0. Keys that are
/// not of it are the caller's to find: see `asked_reading_keys` in sheet_keys.h.
std::optional<NotedReading> read_asked_reading(const TableView& view, const ScaleFile* scale,
                                               const SheetSources& sources);

}  // namespace cornerbench::files
