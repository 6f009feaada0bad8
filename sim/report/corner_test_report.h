#pragma once

#include <ostream>
#include <string>
#include <vector>

#include "sim/field/corner_test.h"
#include "sim/files/scale_file.h"
#include "sim/report/style.h"

namespace cornerbench::report {

/// A corner test with all that stands beside it on paper.
struct CornerTestPage {
    const files::ScaleFile& scale;
    const files::Standard& standard;
    const field::CornerTest& test;
    const field::CornerTestSetting& setting;
    std::vector<std::string> faults;  ///< in the words of --with
    bool mass_from_standard = true;
};

/// Why a deck gives no weight, in words that end a sentence.
std::string deck_error_words(mechanics::DeckError error);

void print_corner_test(std::ostream& out, const CornerTestPage& page, const Style& style);

/// {"schema": 1, "scale", "unit", "mass", "faults", "standard", "class", "stage", "empty", "supports",
/// "sections", "returned", "within"}; masses in the scale's unit. A result's "error" is that of what is
/// shown; "lifts_off" lists the supports that carry nothing under its load; "judged" says which error the
/// limit holds for.
void print_corner_test_json(std::ostream& out, const CornerTestPage& page);

}  // namespace cornerbench::report
