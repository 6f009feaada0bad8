#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim/commissioning/survey.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/field/trim_plan.h"
#include "sim/files/sheet_file.h"

/// The record of a day of tests as one HTML page that needs nothing else and prints on A4 and letter.
namespace cornerbench::report {

/// What the page is printed on.
enum class Paper : unsigned char { a4, letter };

/// What a record is printed from.
struct RecordPage {
    const files::TestSheet& sheet;
    const files::Standard& standard;
    const commissioning::Survey& survey;
    scale::MassUnit unit = scale::MassUnit::kilogram;
    /// Readings for the causes, and what was found of them; nothing where there was no answer.
    const files::SheetFile& readings;
    std::optional<field::DiagnosedSheet> diagnosed{};
    std::optional<field::TrimPlan> trims{};
    Paper paper = Paper::a4;
};

std::string record_page(const RecordPage& page);

/// The deck from above with the error at every place of the corner round, as SVG.
std::string record_drawing(const RecordPage& page);

/// Errors over load with their limits, up and down, as SVG; empty without such lines.
std::string record_plot(const RecordPage& page);

/// Style sheet of the page: screens from phones on, paper, black and white.
extern const char* const record_style;

}  // namespace cornerbench::report
