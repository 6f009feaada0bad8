#pragma once

#include "sim/field/diagnosed_sheet.h"
#include "sim/files/sheet_file.h"
#include "sim/report/json_document.h"

namespace cornerbench::report {

/// The answer as one document: causes (summing to 1), groups, disagreeing readings, next checks. Readings
/// count from 1 in the order of the file.
Json diagnosis_json(const files::SheetFile& sheet, const field::DiagnosedSheet& diagnosed);

/// Where a cause sits and which wires or arm it means: {"cell": 5, "wire": "S+"}.
Json where_json(const scale::Fault& fault);

/// A reading that could be taken, with its minutes and expected bits.
Json check_json(const field::NextCheck& check, const scale::Description& description);

}  // namespace cornerbench::report
