#pragma once

#include <ostream>
#include <string>

#include "sim/files/priors_file.h"
#include "sim/files/scale_file.h"
#include "sim/report/style.h"

/// The catalogue of causes, on paper and as JSON.
namespace cornerbench::report {

/// The scale for which places, sizes and priors are given.
struct CauseExample {
    std::string name;
    scale::Description description;
    files::Priors priors{};
};

/// A scale that can have every cause: eight cells with excitation trims on a 6-wire home run.
CauseExample eight_cell_example();
CauseExample example_from(const files::ScaleFile& scale);

void print_cause_list(std::ostream& out, const CauseExample& example, const Style& style);
void print_cause_page(std::ostream& out, scale::Cause cause, const CauseExample& example, const Style& style);

/// {"schema": 1, "scale": ..., "causes": [...]}: every cause, or the one.
void print_causes_json(std::ostream& out, const CauseExample& example);
void print_cause_json(std::ostream& out, scale::Cause cause, const CauseExample& example);

}  // namespace cornerbench::report
