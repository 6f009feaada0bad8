#pragma once

#include <ostream>

#include "sim/field/diagnosed_sheet.h"
#include "sim/files/priors_file.h"
#include "sim/files/sheet_file.h"
#include "sim/report/style.h"

namespace cornerbench::report {

/// Diagnoses the sheet and prints the answer: as text, or with `json` as the one JSON document.
void print_diagnosis(std::ostream& out, const files::SheetFile& sheet, const files::Priors& priors,
                     const field::CheckMinutes& minutes, bool json, const Style& style);

/// The causes alone, as the text of the whole begins.
void print_causes(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                  const Style& style);

/// What to mind when acting on the leading causes.
void print_cautions(std::ostream& out, const field::DiagnosedSheet& found, const Style& style);

/// The text of what was found on the sheet.
void print_found(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                 const Style& style);

}  // namespace cornerbench::report
