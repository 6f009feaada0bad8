#pragma once

#include <ostream>

#include "sim/commissioning/test_plan.h"
#include "sim/report/json_document.h"
#include "sim/report/style.h"

namespace cornerbench::report {

/// What a plan of tests is printed from.
struct TestPlanPage {
    const files::ScaleFile& scale;
    const files::Standard& standard;
    const commissioning::PlannedTest& plan;
    std::string written_to{};  ///< where the sheet went; empty: nowhere
    bool filled = false;       ///< by a simulated day
};

void print_test_plan(std::ostream& out, const TestPlanPage& page, const Style& style);
Json test_plan_json(const TestPlanPage& page);

}  // namespace cornerbench::report
