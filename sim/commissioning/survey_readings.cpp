#include "sim/commissioning/survey.h"
#include "sim/field/places.h"

namespace cornerbench::commissioning {

using files::PlaceKind;
using files::TestKind;
using files::TestLine;

std::vector<diagnosis::Reading> readings_of(const files::TestSheet& sheet) {
    std::vector<diagnosis::Reading> readings;
    const scale::Deck& deck = sheet.scale.description.deck;
    for (const TestLine& line : sheet.lines) {
        if (line.test != TestKind::zero && line.test != TestKind::eccentricity &&
            line.test != TestKind::zero_return)
            continue;
        if (line.shown == diagnosis::Shown::value && !line.indication_kg) continue;
        diagnosis::Reading reading;
        reading.value = line.indication_kg.value_or(0.0);
        reading.shown = line.shown;
        if (line.test == TestKind::zero_return) reading.direction = diagnosis::Direction::returned;
        if (line.test == TestKind::eccentricity) {
            field::Place at;
            if (line.place.kind == PlaceKind::support) {
                at = field::over_support(deck, line.place.index);
            } else if (line.place.kind == PlaceKind::section) {
                at = field::over_section(deck, line.place.index);
            } else {
                continue;
            }
            reading.load.standing[0] = {line.load_kg, at.x_m, at.y_m};
            reading.load.count = 1;
        }
        readings.push_back(reading);
    }
    return readings;
}

}  // namespace cornerbench::commissioning
