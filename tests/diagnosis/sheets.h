#pragma once

#include <vector>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/numbering.h"

/// Readings without their values, and whole sheets of them.
namespace cornerbench::oracle {

using diagnosis::Reading;

inline diagnosis::Standing over_support(const scale::Description& d, int support, double mass_kg) {
    const int section = scale::section_of(support, d.deck.sections);
    return {mass_kg, d.deck.section_x_m[static_cast<unsigned>(section)],
            scale::is_far(support, d.deck.sections) ? d.deck.width_m : 0.0};
}

inline diagnosis::Standing over_section(const scale::Description& d, int section, double mass_kg) {
    return {mass_kg, d.deck.section_x_m[static_cast<unsigned>(section)], 0.5 * d.deck.width_m};
}

inline diagnosis::Load load_of(std::initializer_list<diagnosis::Standing> standing) {
    diagnosis::Load load;
    for (const diagnosis::Standing& s : standing) load.standing[static_cast<unsigned>(load.count++)] = s;
    return load;
}

inline Reading weight_under(const diagnosis::Load& load) {
    Reading r;
    r.load = load;
    return r;
}

inline Reading signal_of(int cell, bool connected, bool is_ratio, const diagnosis::Load& load = {}) {
    Reading r;
    r.quantity = diagnosis::Quantity::signal;
    r.cell = cell;
    r.connected = connected;
    r.is_ratio = is_ratio;
    r.load = load;
    return r;
}

inline Reading ohms_of(int cell, scale::Wire a, scale::Wire b) {
    Reading r;
    r.quantity = diagnosis::Quantity::resistance;
    r.cell = cell;
    r.between_a = a;
    r.between_b = b;
    return r;
}

inline Reading excitation_at(diagnosis::ExcitationPlace place, int cell = 0) {
    Reading r;
    r.quantity = diagnosis::Quantity::excitation;
    r.place = place;
    r.cell = cell;
    return r;
}

inline Reading channel_of(int cell, const diagnosis::Load& load = {}) {
    Reading r;
    r.quantity = diagnosis::Quantity::channel;
    r.cell = cell;
    r.is_ratio = true;
    r.load = load;
    return r;
}

inline Reading look_at(diagnosis::Look look, int cell, bool as_it_should_be) {
    Reading r;
    r.quantity = diagnosis::Quantity::inspection;
    r.look = look;
    r.cell = cell;
    r.as_it_should_be = as_it_should_be;
    return r;
}

/// Weights alone: empty, the corners, the sections, empty again.
inline std::vector<Reading> weighing_sheet(const scale::Description& d, double mass_kg) {
    std::vector<Reading> sheet{weight_under({})};
    for (int i = 0; i < d.cell_count(); ++i)
        sheet.push_back(weight_under(load_of({over_support(d, i, mass_kg)})));
    for (int s = 0; s < d.deck.sections; ++s)
        sheet.push_back(weight_under(load_of({over_section(d, s, mass_kg)})));
    sheet.push_back(weight_under({}));
    sheet.back().direction = diagnosis::Direction::returned;
    return sheet;
}

/// The corners alone, without the empty deck.
inline std::vector<Reading> corner_sheet(const scale::Description& d, double mass_kg) {
    std::vector<Reading> sheet;
    for (int i = 0; i < d.cell_count(); ++i)
        sheet.push_back(weight_under(load_of({over_support(d, i, mass_kg)})));
    return sheet;
}

/// Every kind of reading that the core knows, on every cell or on every third.
inline std::vector<Reading> every_reading(const scale::Description& d, double mass_kg, int each = 1) {
    using diagnosis::Direction;
    using diagnosis::ExcitationPlace;
    using scale::Wire;
    std::vector<Reading> sheet = weighing_sheet(d, mass_kg);
    Reading zero_set = weight_under({});
    zero_set.zero_set = true;
    sheet.push_back(zero_set);
    // Off every line of symmetry, two masses together, and the way back down.
    const double x = 0.37 * d.deck.section_x_m[1];
    Reading lower = weight_under(load_of({{0.5 * mass_kg, x, 0.7}}));
    sheet.push_back(lower);
    lower.load.standing[0].mass_kg = 0.8 * mass_kg;
    lower.direction = Direction::increasing;
    sheet.push_back(lower);
    lower.load.standing[0].mass_kg = 0.4 * mass_kg;
    lower.direction = Direction::decreasing;
    sheet.push_back(lower);
    // Down from a load that no reading shows.
    Reading down = weight_under(load_of({{0.6 * mass_kg, d.deck.section_x_m[1] - 0.4, 1.9}}));
    down.direction = Direction::decreasing;
    down.came_down_from = 1.4;
    sheet.push_back(down);
    sheet.push_back(zero_set);
    sheet.push_back(weight_under(load_of({{0.6 * mass_kg, x, 0.7}, over_support(d, 1, 0.5 * mass_kg)})));
    for (const auto place : {ExcitationPlace::box, ExcitationPlace::indicator}) {
        sheet.push_back(excitation_at(place));
    }
    for (int c = 0; c < d.cell_count(); c += each) {
        const diagnosis::Load on_it = load_of({over_support(d, c, mass_kg)});
        sheet.push_back(excitation_at(ExcitationPlace::cell, c));
        sheet.push_back(signal_of(c, false, false));
        sheet.push_back(signal_of(c, false, true, on_it));
        sheet.push_back(signal_of(c, true, false, on_it));
        sheet.push_back(signal_of(c, true, true));
        sheet.push_back(ohms_of(c, Wire::excitation_plus, Wire::excitation_minus));
        sheet.push_back(ohms_of(c, Wire::signal_plus, Wire::signal_minus));
        sheet.push_back(ohms_of(c, Wire::excitation_plus, Wire::signal_minus));
        sheet.push_back(ohms_of(c, Wire::signal_plus, Wire::shield));
        if (d.converter == scale::Converter::per_cell) {
            sheet.push_back(channel_of(c));
            sheet.push_back(channel_of(c, on_it));
        }
    }
    return sheet;
}

}  // namespace cornerbench::oracle
