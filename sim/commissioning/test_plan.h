#pragma once

#include <string>
#include <vector>

#include "sim/commissioning/limits.h"
#include "sim/files/test_sheet.h"

/// The day's tests by a standard, with the weights at hand, in an order with few moves.
namespace cornerbench::commissioning {

/// The stage at which is tested, and the weights there are.
struct PlanSetting {
    files::Stage stage = files::Stage::verification;
    double weights_kg = 0.0;  ///< test weights on site; 0: as many as the largest load asks
};

/// A planned day: the sheet to fill, and what to know for it.
struct PlannedTest {
    files::TestSheet sheet;            ///< its lines in order, nothing read yet
    std::vector<std::string> limits;   ///< by line: "limit 20 kg", empty where there is none
    std::vector<std::string> remarks;  ///< what does not go as the standard has it, and why
    int moves = 0;                     ///< times that the weights are moved
    bool weights_suffice = true;       ///< the standard's least test weights are there
    std::vector<std::string> how{};    ///< how lines are done that a table cannot say
};

/// The tests that the standard asks of this scale at this stage; the standard has the scale's class.
PlannedTest plan_tests(const files::ScaleFile& scale, const files::Standard& standard,
                       const PlanSetting& setting);

}  // namespace cornerbench::commissioning
