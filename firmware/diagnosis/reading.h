#pragma once

#include <array>
#include <span>

#include "firmware/mechanics/deck.h"
#include "firmware/scale/description.h"
#include "firmware/scale/wire.h"

/// What a technician read, in SI units.
namespace cornerbench::diagnosis {

/// What was read, and in which unit.
enum class Quantity : unsigned char {
    weight,      ///< the indicator's weight, kg
    signal,      ///< one cell's signal, V, or V/V of its excitation
    resistance,  ///< between two lifted wires, ohm
    excitation,  ///< V
    inspection,  ///< a thing seen
    channel      ///< one cell of a per-cell box under any load, V/V
};

/// How the load of a reading came about: growing, coming down from a larger one, or the deck empty again.
enum class Direction : unsigned char { unstated, increasing, decreasing, returned };

/// What stood in place of a value, or before it.
enum class Shown : unsigned char {
    value,
    over_range,
    under_range,
    blank,
    at_least  ///< of a resistance: the value or more, as a meter says that ends there
};

inline constexpr int shown_count = 5;

/// What an inspection looked at.
enum class Look : unsigned char { load_arrow, wire_colours, gap_at_support, end_gap, trim, terminals };

inline constexpr int look_count = 6;

/// Where excitation was measured: at the wires of a cell where they land, on the box's bus, at the indicator.
enum class ExcitationPlace : unsigned char { cell, box, indicator };

/// A mass standing on the deck.
struct Standing {
    double mass_kg = 0.0;
    double x_m = 0.0;
    double y_m = 0.0;
};

inline constexpr int max_standing = 24;

/// What stands on the deck; nothing when `count` is 0.
struct Load {
    std::array<Standing, max_standing> standing{};
    int count = 0;

    double total_kg() const {
        double sum = 0.0;
        for (int i = 0; i < count; ++i) sum += standing[static_cast<unsigned>(i)].mass_kg;
        return sum;
    }
};

/// One reading: what, under which load, where, and its value. Fields that its quantity does not have are left
/// as they are.
struct Reading {
    Quantity quantity = Quantity::weight;
    Load load;
    Direction direction = Direction::unstated;
    /// Decreasing only: the larger load that stood at the same place before, over this one.
    double came_down_from = 2.0;
    /// Weight of an empty deck only: zero was set here, and what follows is shown from it.
    bool zero_set = false;

    int cell = 0;  ///< box position or support index, from 0, where the quantity has one
    bool connected = false;
    scale::Wire between_a = scale::Wire::excitation_plus;
    scale::Wire between_b = scale::Wire::excitation_minus;
    ExcitationPlace place = ExcitationPlace::box;

    Look look = Look::load_arrow;
    bool as_it_should_be = true;
    /// Of wire colours not as they should be: `between_a` and `between_b` stand exchanged. False: not said.
    bool exchanged = false;

    double value = 0.0;
    Shown shown = Shown::value;
    bool is_ratio = false;             ///< signal given in V/V instead of V
    double lifted_excitation_V = 0.0;  ///< on a lifted cell; 0: the indicator's nominal one
    double uncertainty = 0.0;          ///< standard, in the value's unit; 0: by the instrument
};

/// Standard uncertainties of what the technician brought.
struct Instruments {
    double ohmmeter = 5.0e-3;         ///< relative
    double insulation_tester = 0.20;  ///< relative
    double millivoltmeter_V = 5.0e-6;
    double voltmeter = 1.0e-3;     ///< relative
    double placing_m = 0.058;      ///< where a weight really stood, each way
    double test_weights = 1.0e-4;  ///< relative
    double repeatability_divisions = 0.25;
};

/// When the indicator was last zeroed: before the complaint, or since.
enum class Zeroed : unsigned char { before, now };

/// What the scale was before the complaint. Calibrated: corners trimmed equal, span and zero set on the sound
/// scale. New: never trimmed, cells anywhere in tolerance.
enum class History : unsigned char { calibrated, unadjusted };

/// Readings in the order they were taken, and how they were taken. Does not own the readings.
struct Sheet {
    std::span<const Reading> readings;
    Instruments instruments;
    Zeroed zeroed = Zeroed::before;
    History history = History::calibrated;
};

}  // namespace cornerbench::diagnosis
