#pragma once

#include <ostream>

#include "sim/report/json_document.h"
#include "sim/report/style.h"
#include "sim/training/drill_score.h"

/// A drill in words: the complaint, what a reading said, what speaks against a call, and the score.
namespace cornerbench::report {

/// The readings taken so far with what a sound scale would show.
void print_drill_sheet(std::ostream& out, training::Drill& drill, const Style& style);

/// One reading as it was read, such as "empty  +6.0 d".
std::string drill_reading_words(const diagnosis::Reading& reading, const scale::Description& description);

void print_hint(std::ostream& out, const training::Hint& hint, training::Drill& drill);

/// What came of a call that was not right.
/// What a right word is worth, and where it was guessed, what would have told.
void print_right_call(std::ostream& out, const training::CallVerdict& verdict,
                      const scale::Description& description, int indent = 0);

void print_wrong_call(std::ostream& out, const training::CallVerdict& verdict,
                      std::span<const scale::Fault> named, training::Drill& drill);

/// What was hidden, how it shows, what to do about it, and the points.
void print_drill_end(std::ostream& out, training::Drill& drill, const training::DrillScore& score,
                     const Style& style);

Json json_of_drill(training::Drill& drill, const training::DrillScore& score);

}  // namespace cornerbench::report
