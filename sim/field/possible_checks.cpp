#include "sim/field/possible_checks.h"

#include <algorithm>

#include "firmware/diagnosis/load_history.h"
#include "sim/field/places.h"
#include "sim/field/test_load.h"

namespace cornerbench::field {

using diagnosis::Direction;
using diagnosis::ExcitationPlace;
using diagnosis::Load;
using diagnosis::Look;
using diagnosis::Quantity;
using diagnosis::Reading;
using scale::Wire;

namespace {

/// The weight that the technician evidently has: the largest single one of the sheet.
double weight_at_hand_kg(const scale::Description& d, const diagnosis::Sheet& sheet) {
    double most = 0.0;
    for (const Reading& r : sheet.readings) {
        if (r.load.count == 1) most = std::max(most, r.load.standing[0].mass_kg);
    }
    return most > 0.0 ? most : usual_corner_kg(d);
}

Load standing_at(const Place& place, double mass_kg) {
    Load load;
    load.count = 1;
    load.standing[0] = {mass_kg, place.x_m, place.y_m};
    return load;
}

}  // namespace

bool same_check(const Reading& a, const Reading& b) {
    if (a.quantity != b.quantity) return false;
    switch (a.quantity) {
        case Quantity::weight:
            return diagnosis::same_load(a.load, b.load) &&
                   (a.direction == Direction::decreasing) == (b.direction == Direction::decreasing);
        case Quantity::signal:
            return a.cell == b.cell && a.connected == b.connected && diagnosis::same_load(a.load, b.load);
        case Quantity::channel:
            return a.cell == b.cell && diagnosis::same_load(a.load, b.load);
        case Quantity::resistance:
            return a.cell == b.cell && ((a.between_a == b.between_a && a.between_b == b.between_b) ||
                                        (a.between_a == b.between_b && a.between_b == b.between_a));
        case Quantity::excitation:
            return a.place == b.place && (a.place != ExcitationPlace::cell || a.cell == b.cell);
        case Quantity::inspection:
            return a.look == b.look && (a.look == Look::end_gap || a.cell == b.cell);
    }
    return false;
}

std::vector<PossibleCheck> possible_checks(const scale::Description& d, const diagnosis::Sheet& sheet,
                                           std::span<const int> in_doubt, const CheckMinutes& minutes,
                                           const Workplace& from) {
    std::vector<PossibleCheck> checks;
    const auto add = [&](const Reading& reading) {
        const bool taken = std::any_of(sheet.readings.begin(), sheet.readings.end(),
                                       [&](const Reading& r) { return same_check(r, reading); });
        if (!taken) checks.push_back({reading, minutes_of(reading, from, minutes), -1});
    };
    const auto quantity = [](Quantity of, int cell) {
        Reading r;
        r.quantity = of;
        r.cell = cell;
        return r;
    };
    const double mass_kg = weight_at_hand_kg(d, sheet);
    add(quantity(Quantity::weight, 0));
    for (int i = 0; i < d.cell_count(); ++i) {
        Reading r = quantity(Quantity::weight, 0);
        r.load = standing_at(over_support(d.deck, i), mass_kg);
        add(r);
        r.direction = Direction::decreasing;
        add(r);
    }
    for (int s = 0; s < d.deck.sections; ++s) {
        Reading r = quantity(Quantity::weight, 0);
        r.load = standing_at(over_section(d.deck, s), mass_kg);
        add(r);
        r.direction = Direction::decreasing;
        add(r);
    }
    constexpr Wire pairs[][2] = {{Wire::excitation_plus, Wire::excitation_minus},
                                 {Wire::signal_plus, Wire::signal_minus},
                                 {Wire::excitation_plus, Wire::signal_plus},
                                 {Wire::excitation_plus, Wire::signal_minus},
                                 {Wire::excitation_minus, Wire::signal_plus},
                                 {Wire::excitation_minus, Wire::signal_minus},
                                 {Wire::signal_plus, Wire::shield},
                                 {Wire::signal_minus, Wire::shield},
                                 {Wire::excitation_plus, Wire::shield},
                                 {Wire::excitation_minus, Wire::shield}};
    for (int i = 0; i < d.cell_count(); ++i) {
        Reading signal = quantity(Quantity::signal, i);
        add(signal);
        signal.load = standing_at(over_support(d.deck, i), mass_kg);
        add(signal);
        if (d.converter == scale::Converter::per_cell) {
            Reading channel = quantity(Quantity::channel, i);
            add(channel);
            channel.load = standing_at(over_support(d.deck, i), mass_kg);
            add(channel);
        }
        for (const auto& pair : pairs) {
            Reading ohms = quantity(Quantity::resistance, i);
            ohms.between_a = pair[0];
            ohms.between_b = pair[1];
            add(ohms);
        }
        Reading volts = quantity(Quantity::excitation, i);
        volts.place = ExcitationPlace::cell;
        add(volts);
        for (const Look look :
             {Look::load_arrow, Look::wire_colours, Look::gap_at_support, Look::terminals, Look::trim}) {
            Reading seen = quantity(Quantity::inspection, i);
            seen.look = look;
            add(seen);
        }
    }
    Reading ends = quantity(Quantity::inspection, 0);
    ends.look = Look::end_gap;
    add(ends);
    for (const ExcitationPlace place : {ExcitationPlace::box, ExcitationPlace::indicator}) {
        Reading volts = quantity(Quantity::excitation, 0);
        volts.place = place;
        add(volts);
    }
    for (const int again : in_doubt) {
        const Reading& r = sheet.readings[static_cast<std::size_t>(again)];
        // Once it is repeated, the sheet has what was asked for.
        const auto same = std::count_if(sheet.readings.begin(), sheet.readings.end(),
                                        [&](const Reading& other) { return same_check(r, other); });
        if (same > 1) continue;
        checks.push_back({r, minutes_of(r, from, minutes), again});
    }
    return checks;
}

}  // namespace cornerbench::field
