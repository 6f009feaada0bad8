#pragma once

#include <string>

#include "firmware/diagnosis/corner_report.h"

namespace cornerbench::report {

/// What the box's corner check found, in sentences.
std::string corner_words(const diagnosis::CornerReport& report);

}  // namespace cornerbench::report
