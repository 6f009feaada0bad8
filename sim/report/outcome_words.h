#pragma once

#include <span>
#include <string>
#include <vector>

#include "sim/field/next_check.h"
#include "sim/files/sheet_file.h"

namespace cornerbench::report {

/// What each outcome of a check would mean, a line each: the range in which nine of ten such readings would
/// be if one of these were true, and which those are, the likeliest first. At most `most` lines.
std::vector<std::string> outcome_words(const field::NextCheck& check,
                                       std::span<const diagnosis::Candidate> about,
                                       const scale::Description& description, std::size_t most);

}  // namespace cornerbench::report
