#pragma once

#include <string>

#include "sim/field/diagnosed_sheet.h"

/// What speaks against a diagnosis, in sentences, for text, JSON and the trim plan alike.
namespace cornerbench::report {

/// "not as it should be, where healthy lets expect ...; upside-down, cell 2, would show it": why a thing seen
/// or a reading without a value does not fit the answer. Begins with what was read, ends without a full stop.
std::string unexpected_words(const diagnosis::Reading& reading, const field::Unexpected& unexpected,
                             const field::DiagnosedSheet& found, const scale::Description& description);

/// What to do about it; without a full stop.
std::string unexpected_advice(const diagnosis::Reading& reading, const field::Unexpected& unexpected,
                              const field::DiagnosedSheet& found);

/// What to look at first where a display stays blank; without a full stop.
std::string blank_advice();

/// "5 000 kg over 3 reads -100.0 d where upside-down, cell 2, predicts 0.0 d": what the answer leaves over of
/// the row with that index. Weights as errors in divisions.
/// True when the shares stand under a reservation: the most probable cause is listed and leaves readings
/// over.
bool under_reservation(const field::DiagnosedSheet& found);

std::string left_over_words(const diagnosis::Sheet& sheet, int row, const field::DiagnosedSheet& found,
                            const scale::Description& description);

/// Under what condition the shares hold: "one cause explains all readings", or two where a pair comes first.
std::string condition_words(const field::DiagnosedSheet& found);

/// All of them behind each other, or nothing: "; and besides, 5 000 kg over 3 reads ...".
std::string besides_words(const diagnosis::Sheet& sheet, const field::DiagnosedSheet& found,
                          const scale::Description& description);

/// Why a cause that predicts no more than a healthy scale may still come first.
std::string widened_words(const diagnosis::Sheet& sheet, const field::Comparison& with,
                          const field::Widened& widened, const field::Comparison& healthy,
                          const scale::Description& description);

}  // namespace cornerbench::report
