#include <algorithm>
#include <cmath>

#include "sim/commissioning/standing_load.h"
#include "sim/commissioning/survey.h"

namespace cornerbench::commissioning {

using diagnosis::Direction;
using diagnosis::Reading;
using files::PlaceKind;
using files::TestKind;
using files::TestLine;

namespace {

/// Whether a diagnosis knows what stood there and where: no substitution loads, nothing that rolls.
bool tells(const TestLine& line) {
    if (line.shown == diagnosis::Shown::value && !line.indication_kg) return false;
    switch (line.test) {
        case TestKind::zero:
        case TestKind::zero_return:
            return true;
        case TestKind::weighing:
            return !(line.substitute_kg > 0.0);
        case TestKind::eccentricity:
            return line.place.kind == PlaceKind::support || line.place.kind == PlaceKind::section;
        default:
            return false;
    }
}

}  // namespace

std::vector<Reading> readings_of(const files::TestSheet& sheet, const files::Standard& standard) {
    std::vector<Reading> readings;
    const scale::Description& d = sheet.scale.description;
    double most_kg = 0.0;
    for (const TestLine& line : sheet.lines) {
        if (line.test == TestKind::weighing && line.indication_kg) most_kg = std::max(most_kg, line.load_kg);
    }
    for (const TestLine& line : sheet.lines) {
        if (!tells(line)) continue;
        Reading reading;
        reading.value = line.indication_kg.value_or(0.0);
        reading.shown = line.shown;
        if (line.added_kg && line.indication_kg) {
            const double division_kg = d.division_at_kg(line.load_kg);
            reading.value += 0.5 * division_kg - *line.added_kg;
            // A step of the small weights, within which the display turned: even.
            reading.uncertainty = sheet.uncertainties.added_step_divisions * division_kg / std::sqrt(12.0);
        }
        if (line.test == TestKind::zero_return) reading.direction = Direction::returned;
        if (line.load_kg > 0.0) {
            if (line.test == TestKind::weighing)
                reading.direction = line.decreasing ? Direction::decreasing : Direction::increasing;
            if (line.decreasing) reading.came_down_from = std::max(1.0, most_kg / line.load_kg);
            for (const StandingPart& part : standing_on(line.place, d, standard)) {
                if (reading.load.count == diagnosis::max_standing) break;
                reading.load.standing[static_cast<unsigned>(reading.load.count++)] = {
                    line.load_kg * part.share, part.at.x_m, part.at.y_m};
            }
        }
        readings.push_back(reading);
    }
    return readings;
}

}  // namespace cornerbench::commissioning
