#pragma once

#include <ostream>
#include <string>

#include "sim/field/diagnosed_sheet.h"
#include "sim/files/sheet_file.h"
#include "sim/report/json_document.h"
#include "sim/report/number_words.h"
#include "sim/report/style.h"

/// What to read next, in words and as JSON.
namespace cornerbench::report {

/// What a check's outcome is: "9.918 V to 10.102 V", "over range", "not as it should be".
std::string outcome_range_words(const diagnosis::Reading& reading, const field::CheckOutcome& outcome,
                                const MassWords& mass);

/// The planned checks with what each outcome would mean, numbered as they come; says so where no reading
/// tells more.
void print_checks(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                  const Style& style);

/// A table of what each outcome of a check would mean; nothing where it has none.
void print_outcomes(std::ostream& out, const field::NextCheck& check, const scale::Description& description,
                    const Style& style);

/// "excitation in the box"; of one that is taken again "repeat reading 3 (line 17): excitation in the box".
std::string planned_words(const field::NextCheck& check, const files::SheetFile& sheet);

/// The outcomes of a check: a range or what is seen, its chance, and what then leads.
Json outcomes_json(const field::NextCheck& check, const scale::Description& description);

}  // namespace cornerbench::report
