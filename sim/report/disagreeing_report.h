#pragma once

#include <ostream>

#include "sim/field/diagnosed_sheet.h"
#include "sim/files/sheet_file.h"
#include "sim/report/style.h"

namespace cornerbench::report {

/// Every reading that disagrees: with all others, with the answer, with another of the same thing; and
/// whether no cause explains the whole. Prints nothing where all agree.
void print_disagreeing(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                       const Style& style);

}  // namespace cornerbench::report
