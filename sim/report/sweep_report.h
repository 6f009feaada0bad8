#pragma once

#include <ostream>
#include <string>
#include <vector>

#include "sim/report/json_document.h"
#include "sim/report/style.h"
#include "sim/sweep/sweep.h"

/// A sweep as table, CSV, JSON and picture.
namespace cornerbench::report {

/// What a sweep is printed from.
struct SweepPage {
    const files::ScaleFile& scale;  ///< as its file has it
    std::string parameter;          ///< as it was asked for
    std::string unit;               ///< of the parameter; may be empty
    const std::vector<sweep::Column>& columns;
    const std::vector<sweep::Point>& points;
    std::vector<std::string> faults;  ///< that hold all the while, in the words of --with
    std::string load;
    bool logarithmic = false;
    bool calibrated_once = false;
    bool as_shown = false;
};

/// "kg", "mV", "%": the unit of a column on this page.
std::string unit_of(const SweepPage& page, sweep::Quantity what);

/// SI to that unit.
double in_unit(const SweepPage& page, sweep::Quantity what, double si);

void print_sweep(std::ostream& out, const SweepPage& page, const Style& style);
void print_sweep_csv(std::ostream& out, const SweepPage& page);
Json sweep_json(const SweepPage& page);

/// As SVG: one line a column, told apart by dashes and by the name at its end as well as by colour. Columns
/// of other units than the first are left out.
std::string sweep_chart(const SweepPage& page);

}  // namespace cornerbench::report
