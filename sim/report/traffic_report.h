#pragma once

#include <cstdint>
#include <optional>
#include <ostream>
#include <string>
#include <vector>

#include "sim/field/traffic_findings.h"
#include "sim/report/number_words.h"
#include "sim/report/style.h"

/// What a scale's traffic tells, for people and as JSON.
namespace cornerbench::report {

/// What a watch over traffic is printed from.
struct TrafficPage {
    const std::string& scale;   ///< its name
    const std::string& source;  ///< what was watched, in words
    std::optional<std::uint64_t> seed;
    const watch::TrafficWatch& traffic;
    const std::vector<field::TrafficFinding>& findings;
    const std::string& no_weight;  ///< why the indicator shows none in the end; empty when it does
};

void print_traffic(std::ostream& out, const TrafficPage& page, const MassWords& words, const Style& style);
void print_traffic_json(std::ostream& out, const TrafficPage& page, const MassWords& words);

}  // namespace cornerbench::report
