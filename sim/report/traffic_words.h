#pragma once

#include <string>

#include "sim/field/traffic_findings.h"
#include "sim/report/number_words.h"

/// What traffic tells, in words.
namespace cornerbench::report {

/// "cell 3 reads 2.1 % less".
std::string traffic_finding_words(const field::TrafficFinding& finding, const MassWords& words);

/// "cell 3 88 %, cell 6 9 %"; empty where there is nobody to suspect.
std::string suspects_words(const field::TrafficFinding& finding);

/// What to do at the scale next.
std::string next_look_words(const field::TrafficFinding& finding);

/// "reads-less", for JSON.
std::string_view name_of(field::TrafficSign sign);
std::string_view name_of(field::DeckPart part);

}  // namespace cornerbench::report
