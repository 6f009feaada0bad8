#pragma once

#include <ostream>

#include "sim/commissioning/design_check.h"
#include "sim/report/json_document.h"
#include "sim/report/style.h"

namespace cornerbench::report {

/// What a design check is printed from.
struct DesignCheckPage {
    const commissioning::Design& design;
    const commissioning::DesignCheck& check;
};

void print_design_check(std::ostream& out, const DesignCheckPage& page, const Style& style);
Json design_check_json(const DesignCheckPage& page);

}  // namespace cornerbench::report
