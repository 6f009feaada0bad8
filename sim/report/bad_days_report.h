#pragma once

#include <ostream>

#include "sim/bad_days/campaign_file.h"
#include "sim/report/json_document.h"
#include "sim/report/style.h"

namespace cornerbench::report {

void print_bad_days(std::ostream& out, const bad_days::CampaignPart& whole, const Style& style);

void print_bad_days_json(std::ostream& out, const bad_days::CampaignPart& whole);

}  // namespace cornerbench::report
