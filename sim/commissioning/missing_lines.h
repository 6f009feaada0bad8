#pragma once

#include <string>

#include "sim/files/test_sheet.h"

/// What a standard asks of a day of tests and a sheet has no lines for, whatever was read.
namespace cornerbench::commissioning {

/// What is missing, test by test, in words; empty where nothing is.
struct MissingLines {
    std::string weighing;
    std::string corners;  ///< supports, or sections where the standard lets them stand for supports
    std::string pattern;
    std::string rolling;
    std::string repeatability;
    std::string untested;  ///< tests without any line
    std::string weights;   ///< test weights that stand on the deck and are not there
};

/// Holds the lines of the sheet to the standard's rules; the scale's class must be one of it.
MissingLines missing_lines(const files::TestSheet& sheet, const files::Standard& standard);

}  // namespace cornerbench::commissioning
