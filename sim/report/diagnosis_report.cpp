#include "sim/report/diagnosis_report.h"

#include <stdexcept>

namespace cornerbench::report {

void print_diagnosis(std::ostream&, const files::SheetFile&, const files::Priors&, bool, const Style&) {
    throw std::logic_error("the diagnosis is not connected to the command line");
}

}  // namespace cornerbench::report
