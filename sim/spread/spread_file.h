#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <nlohmann/json.hpp>

#include "sim/spread/spread.h"

namespace cornerbench::spread {

/// What was asked, and what every part must agree on.
struct SpreadQuestion {
    std::string scale;
    std::uint32_t checksum = 0;  ///< CRC-32C over the scale's file and that of the tolerances
    State state = State::as_delivered;
    SampleSetting setting;
    std::string test_load;  ///< in words, with its unit
    std::string division;
    double division_kg = 0.0;  ///< at the test load
    std::string standard;
    double limit_kg = 0.0;  ///< that the corners may lie apart
    std::string limit_why;
    FirstOrder first_order;

    bool operator==(const SpreadQuestion& other) const;
};

/// The tolerance spread of one scale, or one part of its made-up scales, as JSON that parts are put together
/// from.
struct SpreadPart {
    SpreadQuestion question;
    field::TrialShard shard;
    std::vector<Sample> samples;
};

std::string text_of(const SpreadPart& part);

/// Whether a text looks like a part of a spread.
bool is_spread_part(std::string_view text);

/// None, and why in `error`, when the text is no part.
std::optional<SpreadPart> read_part(std::string_view text, std::string& error);

/// All parts as one; none, and why in `error`, when they do not make up a whole.
std::optional<SpreadPart> put_together(const std::vector<SpreadPart>& parts, std::string& error);

}  // namespace cornerbench::spread
