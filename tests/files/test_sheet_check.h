#pragma once

#include <cmath>
#include <string>
#include <string_view>

#include "sim/commissioning/survey.h"
#include "sim/files/test_sheet.h"
#include "tests/files/loaded_check.h"

/// What must hold of any test sheet that is read, and of what a survey makes of it.
namespace cornerbench::files::testing {

/// Reads `text` as a test sheet among the shipped ones and judges it; empty when all that comes of it is a
/// number.
inline std::string test_sheet_text_violation(std::string_view text) {
    static const std::string path = CORNERBENCH_SOURCE_DIR "/configs/tests/fuzz.toml";
    const auto loaded = parse_test_sheet(text, path);
    if (auto violation = error_violation(loaded, text); !violation.empty()) return violation;
    if (!loaded) return "";
    const TestSheet& sheet = *loaded.value;
    if (!sheet.date.empty() && !is_date(sheet.date)) return "a date that is none";
    for (const TestLine& line : sheet.lines) {
        if (!(line.load_kg >= 0.0 && line.load_kg < 1.0e9)) return "a load";
        if (!(line.substitute_kg >= 0.0 && line.substitute_kg <= line.load_kg)) return "a substitution load";
        for (const auto& value : {line.indication_kg, line.added_kg, line.after_kg}) {
            if (value && !(std::fabs(*value) < 1.0e9)) return "a value";
        }
    }
    const auto standard =
        find_standard(sheet.standard.empty() ? sheet.scale.standard : sheet.standard, sheet.scale.path);
    if (!standard || !standard.value->find_class(sheet.scale.accuracy_class)) return "";
    const commissioning::Survey survey = commissioning::judge_sheet(sheet, *standard.value);
    if (survey.lines.size() != sheet.lines.size()) return "a line without a result";
    for (const commissioning::LineResult& line : survey.lines) {
        if (!std::isfinite(line.error.value) || !(line.error.uncertainty >= 0.0))
            return "an error that is no number";
    }
    for (const commissioning::ClauseResult& clause : survey.clauses) {
        if (clause.worst && !std::isfinite(clause.worst->value)) return "a clause's worst that is no number";
    }
    const commissioning::HandedReadings handed = commissioning::readings_of(sheet, *standard.value);
    if (handed.readings.size() > sheet.lines.size()) return "readings that nobody took";
    for (const diagnosis::Reading& reading : handed.readings) {
        if (!std::isfinite(reading.load.total_kg())) return "a load handed on that is no number";
    }
    return "";
}

}  // namespace cornerbench::files::testing
