#pragma once

#include <string_view>

/// Why no weight is shown.
namespace cornerbench::weighing {

/// In the order in which they are told when several hold, but for the last two: what lies nearest to the
/// cells first.
enum class NoWeight : unsigned char {
    none,               ///< there is one
    reference_missing,  ///< no excitation on the sense wires
    saturated,          ///< the signal lies beyond the converter
    cell_backwards,     ///< a cell's channel lies below what an unloaded cell can give
    converter_error,    ///< the transfer from the converter failed
    sum_disagrees,      ///< a frame is not what was converted
    samples_missing,    ///< frames were lost, or came at the wrong times
    samples_stale,      ///< no new ones come
    code_stuck,         ///< a code stands still where its own noise would move it
    supply_low,         ///< too low for the converter
    clock_stopped,      ///< nobody can tell how old a sample is
    settling,           ///< the samples are good again, the filter is not full of them yet
    starting,           ///< power just came on
    settings_wrong,     ///< nothing can be weighed by these settings
    settings_lost,      ///< what was kept is damaged
    not_calibrated,
    no_initial_zero,  ///< power came on with a load that is too large to be a zero
    over_range,
    under_range,
    zero_lost,  ///< the deck came to rest below the range: until zero is set, nobody knows where zero is
    cell_overloaded,  ///< a cell gives more than its rated output: what lies on it is beyond its capacity
    cell_unloaded     ///< a cell has lost most of its share of the deck's own weight, and no load explains it
};

/// In a few words, for panel and console; at most 23 characters.
constexpr std::string_view words(NoWeight why) {
    switch (why) {
        case NoWeight::none:
            return "";
        case NoWeight::reference_missing:
            return "reference missing";
        case NoWeight::saturated:
            return "signal out of range";
        case NoWeight::cell_backwards:
            return "cell reads backwards";
        case NoWeight::converter_error:
            return "converter error";
        case NoWeight::sum_disagrees:
            return "samples damaged";
        case NoWeight::samples_missing:
            return "samples missing";
        case NoWeight::samples_stale:
            return "no new samples";
        case NoWeight::code_stuck:
            return "signal stuck";
        case NoWeight::supply_low:
            return "supply low";
        case NoWeight::clock_stopped:
            return "clock stopped";
        case NoWeight::settling:
            return "settling";
        case NoWeight::starting:
            return "starting";
        case NoWeight::settings_wrong:
            return "settings wrong";
        case NoWeight::settings_lost:
            return "settings lost";
        case NoWeight::not_calibrated:
            return "not calibrated";
        case NoWeight::no_initial_zero:
            return "loaded at power-on";
        case NoWeight::over_range:
            return "over range";
        case NoWeight::under_range:
            return "under range";
        case NoWeight::zero_lost:
            return "zero lost";
        case NoWeight::cell_overloaded:
            return "cell over capacity";
        case NoWeight::cell_unloaded:
            return "cell lost its dead load";
    }
    return "unknown";
}

}  // namespace cornerbench::weighing
