#include "sim/report/axis_step.h"

#include <cmath>

namespace cornerbench::report {

double axis_step(double span) {
    const double raw = span / 5.0;
    const double power = std::pow(10.0, std::floor(std::log10(raw)));
    const double lead = raw / power;
    return (lead < 1.5 ? 1.0 : lead < 3.5 ? 2.0 : lead < 7.5 ? 5.0 : 10.0) * power;
}

}  // namespace cornerbench::report
