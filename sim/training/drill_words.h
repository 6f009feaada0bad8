#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/causes.h"

/// What a trainee types in a drill.
///
///     weight over 3 | weight section 2 | weight empty | weight over 3 down
///     signal 3 | signal 3 over 3          lifted; empty unless it says over or section
///     channel 3 | channel 3 over 3        a box with a channel per cell
///     ohms 3 S+ S-                        two of E+ E- S+ S- shield, lifted
///     volts box | volts indicator | volts cell 3
///     weight over 3 with 5000             another test weight, in kg; or 5t, 5 t
///     look arrow 3 | colours 3 | terminals 3 | trim 3 | gap 3 | ends
namespace cornerbench::training {

/// The reading asked for, its value not filled in, or in `error` what would be valid.
struct AskedReading {
    std::optional<diagnosis::Reading> reading;
    std::string error;
};

/// `mass_kg` is the test weight at hand where none is named.
AskedReading read_tool(std::string_view words, const scale::Description& description, double mass_kg);

/// Causes with their places, such as "loose-terminal cell=8" or "rubbing side=far with trim-off cell=2", or
/// "healthy"; sizes may stand there and do not count.
struct NamedCauses {
    std::optional<std::vector<scale::Fault>> faults;
    std::string error;
    std::vector<bool> variant_named{};  ///< of each fault: the words say which wire, wires or arm
};

NamedCauses read_call(std::string_view words, const scale::Description& description);

/// The tools of this scale, a line each.
std::vector<std::string> tool_lines(const scale::Description& description);

}  // namespace cornerbench::training
