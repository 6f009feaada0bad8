#pragma once

#include <string>

#include "firmware/scale/description.h"

namespace cornerbench::commissioning {

/// A mass as a survey tells it, with its unit: one place more than the display has.
std::string survey_words(double kg, const scale::Description& d);

}  // namespace cornerbench::commissioning
