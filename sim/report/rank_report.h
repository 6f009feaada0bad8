#pragma once

#include <ostream>
#include <string>

#include "sim/field/magnitude_ranks.h"
#include "sim/report/style.h"

namespace cornerbench::report {

void print_ranks(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                 const field::RankTrial& trial, const Style& style);

/// {"schema": 1, "scale", "sheets", "seed", "failed", "least_probability", "magnitudes": [{"cause",
/// "magnitude", "sheets", "bins", "mean", "chi_square", "degrees", "probability", "uniform"}, ...]}; where
/// there were too few sheets "probability" and "uniform" are null.
void print_ranks_json(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                      const field::RankTrial& trial);

/// SVG: for every magnitude how far the share of true magnitudes below each rank runs from the even line,
/// with the band that it leaves once in a hundred such pictures if all ranks are even.
void draw_ranks(std::ostream& out, const std::string& scale, const field::RankTrial& trial);

}  // namespace cornerbench::report
