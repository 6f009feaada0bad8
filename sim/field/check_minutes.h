#pragma once

#include "firmware/diagnosis/reading.h"

/// How long a check takes one person with a test weight at hand, and what the next one saves because the box
/// stands open, the wires are lifted or the weight stands there already.
namespace cornerbench::field {

/// Minutes, of everything that is done for a reading. Common practice, no source: edit them in a file.
struct CheckMinutes {
    double move_weight = 4.0;      ///< set the weight down somewhere else or take it off, settle, read
    double come_down = 2.0;        ///< load the place up to twice as much, take that off again
    double open_box = 2.0;         ///< once in a visit
    double lift_wires = 2.0;       ///< lift the wires of one cell, and land them again afterwards
    double read = 1.0;             ///< one reading where everything is ready; one look into the open box
    double at_indicator = 3.0;     ///< open the indicator, read its excitation, close it
    double look_under_deck = 8.0;  ///< get at one support: load arrow, gap
    double look_at_end = 2.0;      ///< both end gaps
    double jacking = 0.0;          ///< more at each support, where the deck must be lifted to get at it

    friend bool operator==(const CheckMinutes&, const CheckMinutes&) = default;
};

/// What stands ready after some readings of a visit.
struct Workplace {
    bool box_open = false;
    int lifted_cell = -1;    ///< whose wires are lifted; -1: all are landed
    int under_support = -1;  ///< where somebody lies under the deck
    diagnosis::Load standing;
};

/// Minutes that `reading` takes from there.
double minutes_of(const diagnosis::Reading& reading, const Workplace& from, const CheckMinutes& minutes);

/// What stands ready once it is taken.
Workplace after(const diagnosis::Reading& reading, const Workplace& from);

}  // namespace cornerbench::field
