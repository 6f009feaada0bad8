#pragma once

#include <array>
#include <string>
#include <string_view>

#include "firmware/diagnosis/reading.h"

/// A reading of a sheet as a person would call it.
namespace cornerbench::files {

/// Words of `direction`, in the order of `diagnosis::Direction` without `unstated`.
inline constexpr std::array<std::string_view, 3> direction_words{"increasing", "decreasing", "returned"};

/// Such as "weight, 10 000 kg over 3" or "signal of cell 3, lifted, empty"; `load_text` says its load.
std::string reading_text(const diagnosis::Reading& reading, const std::string& load_text);

}  // namespace cornerbench::files
