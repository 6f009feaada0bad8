#pragma once

#include <array>
#include <cstdint>
#include <iterator>
#include <string_view>

/// What can be done on the bench page. A run is a list of deeds, each at its frame: whoever does the same
/// again gets the same, on any machine.
namespace cornerbench::page {

/// The words of a link, in this order; `deed_forms` says what each of them is given.
enum class DeedKind : std::uint8_t {
    put,
    move,
    lift,
    drive,
    leave,
    fault,
    mend,
    key,
    trim,
    power,
    read,
    call,
    hide,
    hint,
    answer,
    probe,
    reveal
};

/// One kind of deed: its word in a link, and the numbers it is given.
struct DeedForm {
    DeedKind kind = DeedKind::put;
    std::string_view word{};
    int numbers = 0;  ///< how many it takes, at least; others are 0
    std::string_view meaning{};
};

inline constexpr int max_deed_numbers = 6;

inline constexpr DeedForm deed_forms[] = {
    {DeedKind::put, "put", 3, "x in m, y in m, kg: a weight, which counts on from 1"},
    {DeedKind::move, "move", 3, "number of a weight, x, y"},
    {DeedKind::lift, "lift", 1, "number of a weight: off the deck"},
    {DeedKind::drive, "drive", 2, "number of a vehicle from 0, x at which its front axle stops"},
    {DeedKind::leave, "leave", 0, "the vehicle drives off"},
    {DeedKind::fault, "fault", 3, "cause, place, variant by numbers from 0, two magnitudes in SI, 1: hidden"},
    {DeedKind::mend, "mend", 1, "number of a fault from 1; 0: all of them"},
    {DeedKind::key, "key", 1, "0 zero, 1 tare, 2 clear, 3 unit, 4 print"},
    {DeedKind::trim, "trim", 2, "position from 0, turns (or ohms of a fixed resistor) more"},
    {DeedKind::power, "power", 1, "0: cut, 1: back"},
    {DeedKind::read, "read", 4,
     "quantity, cell, then two wires, or the place of excitation, or what was looked at, from 0"},
    {DeedKind::call, "call", 2,
     "cause and place that somebody names, in a drill a second cause (0: none) and place, then 1 if zero was "
     "set since; cause 0: nothing is wrong; nothing happens by it"},
    {DeedKind::hide, "hide", 1, "seed of a fault that nobody is told"},
    {DeedKind::hint, "hint", 0, "somebody asks what to read next; nothing happens by it"},
    {DeedKind::answer, "answer", 2, "number of a lesson's task and of the answer chosen, from 0"},
    {DeedKind::probe, "probe", 2, "two terminals between which the meter is read in a drill; takes minutes"},
    {DeedKind::reveal, "reveal", 0, "what is hidden is told from here on"}};

inline constexpr int deed_kind_count = static_cast<int>(std::size(deed_forms));

/// One deed at its frame; its numbers as `deed_forms` has them.
struct Deed {
    std::int64_t frame = 0;  ///< before this frame of the run, counted from 0
    DeedKind kind = DeedKind::put;
    std::array<double, max_deed_numbers> number{};
};

}  // namespace cornerbench::page
