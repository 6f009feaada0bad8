#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim/files/test_sheet.h"

/// A filled test sheet judged: errors without rounding, their uncertainties, limits, a verdict by clause.
namespace cornerbench::commissioning {

/// Whether a line or a clause is met.
enum class Verdict : unsigned char {
    passes,
    fails,
    uncertain,  ///< where the verdict turns lies within the expanded uncertainty of the error
    not_done    ///< not read, or with fewer lines than the standard asks
};

/// A number against its limit.
struct Judged {
    double value = 0.0;        ///< kg
    double uncertainty = 0.0;  ///< expanded, k = 2, kg
    double limit = 0.0;        ///< kg, the standard's own
    Verdict verdict = Verdict::not_done;
    /// kg: where the verdict turns for an error before rounding. The limit, or past it where what is shown is
    /// judged.
    double turns_at = 0.0;
};

/// One line of the sheet.
struct LineResult {
    int line = 0;                                ///< index into the sheet
    std::optional<double> before_rounding_kg{};  ///< P = I + e/2 - dL
    std::optional<double> load_kg{};             ///< with what substitution loads turned out to be
    /// Error, corrected for the error at zero; where the standard judges what is shown, still before
    /// rounding.
    Judged error;
    bool judged = false;  ///< this kind of line has a limit of its own
};

/// What a clause of the standard asks, over all lines that bear on it.
struct ClauseResult {
    std::string title;
    std::string clause;
    Verdict verdict = Verdict::not_done;
    std::optional<Judged> worst{};  ///< nearest to its limit or farthest beyond
    std::string words{};            ///< which line that was, or what is missing
};

/// Increasing against decreasing at one load.
struct Hysteresis {
    double load_kg = 0.0;
    double difference_kg = 0.0;  ///< decreasing less increasing
    double uncertainty = 0.0;    ///< expanded
};

/// A judged test sheet: every line, every clause, and what they come to.
struct Survey {
    std::vector<LineResult> lines;
    std::vector<ClauseResult> clauses;
    std::vector<Hysteresis> hysteresis;
    double repeatability_kg = 0.0;   ///< standard deviation of one weighing, as used
    std::vector<int> corners_off;    ///< supports from 0 whose error is beyond its limit
    std::vector<int> corners_blank;  ///< supports from 0 under whose load no weight is shown
    std::vector<std::string> remarks;
    /// False where tests, lines of one or weights that the standard asks are missing, as `remarks` say.
    bool whole = true;

    /// Fails if any clause does, else uncertain if any is, else not done if any is, else passes.
    Verdict verdict() const;
};

/// Judges the sheet by the standard; the scale's class must be one of it.
Survey judge_sheet(const files::TestSheet& sheet, const files::Standard& standard);

/// What a day of tests tells a diagnosis or a trim plan.
struct HandedReadings {
    std::vector<diagnosis::Reading>
        readings;  ///< in the day's order, with every zero that was set on the way
    diagnosis::Instruments instruments;
    diagnosis::Zeroed zeroed = diagnosis::Zeroed::now;

    /// A view of it.
    diagnosis::Sheet sheet() const { return {readings, instruments, zeroed}; }
};

/// The readings of the sheet whose load is known, as a diagnosis or a trim plan takes them. Without
/// substitution loads, and without discrimination.
HandedReadings readings_of(const files::TestSheet& sheet, const files::Standard& standard);

const char* word_of(Verdict verdict);

}  // namespace cornerbench::commissioning
