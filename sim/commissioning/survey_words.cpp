#include "sim/commissioning/survey_words.h"

#include <algorithm>
#include <cmath>

#include "sim/files/mass_unit.h"
#include "sim/files/range.h"

namespace cornerbench::commissioning {

std::string survey_words(double kg, const scale::Description& d) {
    const double unit_kg = scale::kilograms_in(d.unit);
    const double tenth = 0.1 * d.division_at_kg(0.0) / unit_kg;
    const double step = std::min(1.0, std::pow(10.0, std::floor(std::log10(tenth) + 1.0e-9)));
    return files::grouped_text(std::round(kg / unit_kg / step) * step) + " " +
           std::string(files::unit_name(d.unit));
}

}  // namespace cornerbench::commissioning
