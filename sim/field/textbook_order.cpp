#include "sim/field/textbook_order.h"

#include "sim/field/places.h"
#include "sim/field/test_load.h"

namespace cornerbench::field {

using diagnosis::ExcitationPlace;
using diagnosis::Look;
using diagnosis::Quantity;
using diagnosis::Reading;
using scale::Wire;

namespace {

Reading look(Look at, int cell = 0) {
    Reading r;
    r.quantity = Quantity::inspection;
    r.look = at;
    r.cell = cell;
    return r;
}

Reading excitation(ExcitationPlace place) {
    Reading r;
    r.quantity = Quantity::excitation;
    r.place = place;
    return r;
}

Reading ohms(int cell, Wire a, Wire b) {
    Reading r;
    r.quantity = Quantity::resistance;
    r.cell = cell;
    r.between_a = a;
    r.between_b = b;
    return r;
}

Reading signal(int cell) {
    Reading r;
    r.quantity = Quantity::signal;
    r.cell = cell;
    return r;
}

Reading loaded(Reading r, Place place, double mass_kg) {
    r.load.count = 1;
    r.load.standing[0] = {mass_kg, place.x_m, place.y_m};
    return r;
}

}  // namespace

std::vector<Reading> textbook_order(const scale::Description& d) {
    const int cells = d.cell_count();
    const double test_kg = usual_corner_kg(d);
    std::vector<Reading> order;
    // 1. Walk round the deck, then open the box and look.
    order.push_back(look(Look::end_gap));
    for (int i = 0; i < cells; ++i) {
        order.push_back(look(Look::terminals, i));
        order.push_back(look(Look::wire_colours, i));
        order.push_back(look(Look::trim, i));
    }
    // 2. Is the supply there?
    order.push_back(excitation(ExcitationPlace::box));
    order.push_back(excitation(ExcitationPlace::indicator));
    // 3. A box with a channel per cell shows each cell without a wire lifted.
    if (d.converter == scale::Converter::per_cell) {
        for (int i = 0; i < cells; ++i) {
            Reading channel = signal(i);
            channel.quantity = Quantity::channel;
            order.push_back(channel);
        }
        for (int i = 0; i < cells; ++i) {
            Reading channel = signal(i);
            channel.quantity = Quantity::channel;
            order.push_back(loaded(channel, over_support(d.deck, i), test_kg));
        }
    }
    // 4. Cell by cell, its wires lifted: bridge, insulation, zero.
    for (int i = 0; i < cells; ++i) {
        order.push_back(ohms(i, Wire::excitation_plus, Wire::excitation_minus));
        order.push_back(ohms(i, Wire::signal_plus, Wire::signal_minus));
        order.push_back(ohms(i, Wire::signal_plus, Wire::shield));
        order.push_back(signal(i));
    }
    // 5. The same under load.
    for (int i = 0; i < cells; ++i) {
        order.push_back(loaded(signal(i), over_support(d.deck, i), test_kg));
    }
    // 6. Under the deck: arrows and supports.
    for (int i = 0; i < cells; ++i) {
        order.push_back(look(Look::load_arrow, i));
        order.push_back(look(Look::gap_at_support, i));
    }
    // 7. Does it come back, and what of the rest of the deck?
    for (int i = 0; i < cells; ++i) {
        Reading down = loaded({}, over_support(d.deck, i), test_kg);
        down.direction = diagnosis::Direction::decreasing;
        order.push_back(down);
    }
    for (int s = 0; s < d.deck.sections; ++s) {
        order.push_back(loaded({}, over_section(d.deck, s), test_kg));
    }
    return order;
}

}  // namespace cornerbench::field
