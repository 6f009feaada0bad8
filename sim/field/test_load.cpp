#include "sim/field/test_load.h"

#include <cmath>

namespace cornerbench::field {

double usual_corner_kg(const scale::Description& description) {
    const int n = description.cell_count();
    const double unit_kg = scale::kilograms_in(description.unit);
    const double most = description.max_kg / unit_kg / (n > 4 ? n - 1 : 3);
    double step = 1.0;
    while (step * 100.0 <= most) step *= 10.0;
    while (step * 10.0 > most) step /= 10.0;
    return std::floor(most / step) * step * unit_kg;
}

}  // namespace cornerbench::field
