#pragma once

#include <string>
#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "firmware/diagnosis/reading.h"
#include "firmware/scale/causes.h"
#include "sim/report/number_words.h"

/// Causes, magnitudes and readings in a line of words each.
namespace cornerbench::report {

/// "loose-terminal, cell 5, wire S+", without magnitudes.
std::string cause_words(const scale::Fault& fault);

/// Of two at once "shifted-zero, cell 1 with loose-terminal, cell 3, wire S+".
std::string cause_words(const diagnosis::Candidate& candidate);

/// The same with the other wire or arm that the readings leave likely, or how many: "open-wire, cell 3, wire
/// E+ or E-", "wet-leak, cell 2, wires E+,S+ or 3 more".
std::string cause_words(const diagnosis::Candidate& candidate, const scale::Description& description);

/// "38 ohm (29 to 50)", one per magnitude: the middle of its posterior with the bounds of its inner 90 %.
std::vector<std::string> magnitude_words(
    const scale::Fault& fault, const std::array<diagnosis::Estimate, scale::max_magnitudes>& estimate,
    const scale::Description& description);

/// A reading that was taken, in few words: "10 000 kg over 8", "cell 7 signal, empty".
std::string reading_words(const diagnosis::Reading& reading, const scale::Description& description);

/// A reading that could be taken: "resistance S+ to E+ of cell 5, lifted".
std::string check_words(const diagnosis::Reading& reading, const scale::Description& description);

/// What was read, in the reading's unit, weights as errors in divisions; or what stood there instead.
std::string read_words(const diagnosis::Reading& reading, const MassWords& mass);

/// What stood in place of a value: "over range", "blank", "not as it should be".
std::string seen_words(const diagnosis::Reading& reading);
std::string shown_words(diagnosis::Shown shown);

/// A value of that reading in the unit in which it is read, such as "9 960 kg", "3.31 mV", "291.4 ohm".
/// Resistances come as natural logarithms, as in diagnosis::Compared.
std::string value_words(const diagnosis::Reading& reading, double value, const MassWords& mass);

/// The same, weights as errors in divisions where there are any.
std::string error_words(const diagnosis::Reading& reading, double value, const MassWords& mass);

}  // namespace cornerbench::report
