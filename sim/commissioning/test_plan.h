#pragma once

#include <string>
#include <vector>

#include "sim/files/test_sheet.h"

/// The day's tests by a standard, with the weights at hand, in an order with few moves.
namespace cornerbench::commissioning {

struct PlanSetting {
    files::Stage stage = files::Stage::verification;
    double weights_kg = 0.0;  ///< test weights on site; 0: as many as the largest load asks
};

struct PlannedTest {
    files::TestSheet sheet;            ///< its lines in order, nothing read yet
    std::vector<std::string> limits;   ///< by line: "limit 20 kg", empty where there is none
    std::vector<std::string> remarks;  ///< what does not go as the standard has it, and why
    int moves = 0;                     ///< times that the weights are moved
    bool weights_suffice = true;       ///< the standard's least test weights are there
};

/// Limit of error at `load_kg`, kg.
double limit_kg(const files::Standard& standard, const files::ScaleFile& scale, files::Stage stage,
                double load_kg);

/// How far off zero the display may be after the loads, kg; 0 where the standard does not say.
double zero_return_limit_kg(const files::Standard& standard, const files::ScaleFile& scale,
                            files::Stage stage);

/// Error before rounding at which the verdict turns, kg: the limit itself, or where a standard judges what is
/// shown, half a division past the last whole one within it.
double turning_point_kg(const files::Standard& standard, const files::ScaleFile& scale, files::Stage stage,
                        double load_kg);

PlannedTest plan_tests(const files::ScaleFile& scale, const files::Standard& standard,
                       const PlanSetting& setting);

}  // namespace cornerbench::commissioning
