#pragma once

#include <string>
#include <vector>

#include "sim/report/number_words.h"
#include "sim/training/atlas.h"

/// What the atlas says, whether a terminal or a page shows it.
namespace cornerbench::report {

/// "-33.0 d", or what the display shows instead.
std::string corner_error_words(const field::TestResult& result, const MassWords& mass);

/// "+4.2 u", or empty where there is no number to compare.
std::string sign_words(const training::MeterSign& sign);

/// How the error goes with load, back to zero and with warmth, a sentence each.
std::vector<std::string> change_words(const training::AtlasEntry& entry,
                                      const scale::Description& description);

/// What tells a lookalike from the cause, a sentence.
std::string told_words(const training::Lookalike& like, const scale::Description& description);

}  // namespace cornerbench::report
