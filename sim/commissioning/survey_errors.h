#pragma once

#include <optional>
#include <vector>

#include "sim/commissioning/linear_form.h"
#include "sim/files/test_sheet.h"

/// From the readings of a sheet to the errors of its lines, each with what makes it uncertain.
namespace cornerbench::commissioning {

/// One line as forms in kg; nothing where the line was not read or shows no weight.
struct LineForms {
    std::optional<LinearForm> before_rounding;  ///< P
    std::optional<LinearForm> load;             ///< L
    std::optional<LinearForm> error;            ///< P - L - E0
};

/// The forms of a whole sheet, by line, over the same inputs.
struct SheetForms {
    std::vector<LineForms> lines;
    double repeatability_kg = 0.0;  ///< standard deviation of one weighing, as used
};

/// How weighings of the same load scattered.
struct SeenScatter {
    double variance_kg2 = 0.0;  ///< of one weighing, without the steps of the small weights
    int freedom = 0;
};

/// By the sheet's repeatability lines; nothing without two of one load.
std::optional<SeenScatter> seen_scatter(const files::TestSheet& sheet);

/// P = I + e/2 - dL with small weights, I without (OIML R 76-1:2006, A.4.4.3).
std::optional<double> before_rounding_kg(const files::TestLine& line, const scale::Description& d);

/// `shown_counts`: the standard judges what is shown, so the rounding of a reading without small weights is
/// no doubt.
SheetForms sheet_forms(const files::TestSheet& sheet, bool shown_counts = false);

}  // namespace cornerbench::commissioning
