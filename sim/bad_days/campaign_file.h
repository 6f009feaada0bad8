#pragma once

#include <optional>
#include <string>
#include <string_view>

#include <nlohmann/json.hpp>

#include "sim/bad_days/campaign.h"

/// A campaign of bad days, or one part of it, as JSON: what `--json` prints, and what parts are put together
/// from.
namespace cornerbench::bad_days {

/// What a part was made from, and what came of it.
struct CampaignPart {
    std::vector<std::string> scales;  ///< names, in their order
    std::uint32_t checksum = 0;       ///< CRC-32C over the texts of their files
    CampaignSetting setting;
    field::TrialShard shard;
    Tally tally;
};

nlohmann::ordered_json json_of(const CampaignPart& part);

/// Whether a text looks like a part of a campaign rather than of a trial.
bool is_campaign_part(std::string_view text);

/// None, and why in `error`, when the text is no part.
std::optional<CampaignPart> read_part(std::string_view text, std::string& error);

/// All parts as one; none, and why in `error`, when they do not make up a whole.
std::optional<CampaignPart> put_together(const std::vector<CampaignPart>& parts, std::string& error);

}  // namespace cornerbench::bad_days
