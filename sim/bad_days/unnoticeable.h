#pragma once

#include "firmware/scale/causes.h"

namespace cornerbench::bad_days {

/// Why no firmware behind this box could notice such a fault in the samples alone, so that a stable, wrong
/// weight may be shown with it; null when it has to be noticed or to be harmless. A check of the corners, a
/// look or a meter finds these: that is what `diagnose` and the box's corner round are for.
inline const char* why_unnoticeable(const scale::Description& d, scale::Cause cause) {
    const bool summed = d.converter == scale::Converter::summed;
    const char* in_the_sum =
        "cells reach the converter as one sum: what one of them leaves out or adds looks like another load";
    switch (cause) {
        case scale::Cause::upside_down:
        case scale::Cause::signal_pair_swapped:
        case scale::Cause::excitation_pair_swapped:
        case scale::Cause::swapped_cells:
        case scale::Cause::trim_off:
            return summed ? in_the_sum : nullptr;
        case scale::Cause::open_wire:
        case scale::Cause::shorted_wires:
        case scale::Cause::wet_leak:
        case scale::Cause::loose_terminal:
        case scale::Cause::altered_cable:
        case scale::Cause::wrong_cell:
        case scale::Cause::shifted_zero:
        case scale::Cause::damaged_arm:
        case scale::Cause::weak_output:
            return summed ? in_the_sum
                          : "a channel within what its cell can give looks like a load that stands elsewhere";
        case scale::Cause::rubbing:
        case scale::Cause::bound_support:
            return "what is carried past the cells is felt by none of them";
        case scale::Cause::sense_open:
            return "the reference falls back to the terminals beside it, 1 to 2 % high, and looks sound";
        case scale::Cause::home_run_loose:
            return d.home_run_wires == 4
                       ? "with four wires the reference is taken in front of what is lost on the way"
                       : nullptr;
        default:
            return nullptr;
    }
}

/// Turned over, a cell of a box with a channel for each shows by reading less than any load can make it, once
/// it carries three times its zero tolerance; with less on it, it may read as an empty sound one does.
inline bool needs_load_to_show(scale::Cause cause) {
    return cause == scale::Cause::upside_down || cause == scale::Cause::signal_pair_swapped ||
           cause == scale::Cause::excitation_pair_swapped;
}

inline constexpr const char* somebody_entered =
    "what somebody enters with the seal open is the measure of all weights; the counter of changes tells "
    "that "
    "it was";

/// In newtons on the cell, the deck's weight included.
inline double load_that_shows_N(const scale::Description& d, int cell) {
    const scale::Cell& c = d.cells[static_cast<std::size_t>(cell)];
    return 3.2 * c.zero_tolerance * c.capacity_kg * scale::standard_gravity;
}

}  // namespace cornerbench::bad_days
