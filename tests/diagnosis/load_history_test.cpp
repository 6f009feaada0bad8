#include <catch2/catch.hpp>

#include <vector>

#include "firmware/diagnosis/load_history.h"

using namespace cornerbench;
using diagnosis::Direction;
using diagnosis::Reading;

namespace {

/// A weight of `mass_kg` at `x_m`, or an empty deck.
Reading weight(double mass_kg, double x_m, Direction direction = Direction::increasing) {
    Reading reading;
    reading.quantity = diagnosis::Quantity::weight;
    reading.direction = direction;
    if (mass_kg > 0.0) {
        reading.load.count = 1;
        reading.load.standing[0] = {mass_kg, x_m, 0.0};
    }
    return reading;
}

Reading ohms() {
    Reading reading;
    reading.quantity = diagnosis::Quantity::resistance;
    return reading;
}

}  // namespace

TEST_CASE("Readings share a moment for as long as nothing on the deck moves", "[diagnosis]") {
    std::vector<Reading> readings = {
        weight(0, 0),                            // the deck as it was found
        ohms(),                                  // speaks of no load
        weight(1000, 2),                         // set down
        ohms(),                                  //
        weight(1000, 2),                         // read again
        weight(2000, 2),                         // more on it
        weight(1000, 2, Direction::decreasing),  // back down
        weight(1000, 2),                         // read again
        weight(1000, 2, Direction::decreasing),  // up and down once more
        weight(1000, 5),                         // moved
        weight(0, 0),                            // taken off
        weight(0, 0, Direction::decreasing),     // an empty deck cannot come down to empty again
    };
    diagnosis::Sheet sheet;
    sheet.readings = readings;
    const diagnosis::LoadHistory history = diagnosis::load_history(sheet);
    const std::vector<int> moment(history.moment_of.begin(), history.moment_of.begin() + history.readings);
    CHECK(moment == std::vector<int>{0, 0, 1, 0, 1, 2, 3, 3, 4, 5, 6, 6});
    CHECK(history.moments == 7);
    CHECK(history.loads == 4);
    CHECK(history.placings == 2);
    CHECK(history.zeroings == 0);
}

TEST_CASE("Every weight is shown from the zero that was set last before it", "[diagnosis]") {
    Reading zero_set = weight(0, 0);
    zero_set.zero_set = true;
    const std::vector<Reading> readings = {weight(1000, 2), zero_set, weight(1000, 2), ohms(), weight(0, 0),
                                           weight(1000, 5), zero_set, weight(1000, 2)};
    diagnosis::Sheet sheet;
    sheet.readings = readings;
    const diagnosis::LoadHistory history = diagnosis::load_history(sheet);
    const std::vector<int> zeroing(history.zeroing_of.begin(), history.zeroing_of.begin() + history.readings);
    CHECK(zeroing == std::vector<int>{-1, 0, 0, 0, 0, 0, 1, 1});
    CHECK(history.zeroings == 2);
    CHECK(history.zero_reading_of[0] == 1);
    CHECK(history.zero_reading_of[1] == 6);
}
