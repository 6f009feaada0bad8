#pragma once

#include <array>
#include <string>
#include <string_view>

#include "firmware/scale/causes.h"
#include "sim/faults/course.h"
#include "sim/faults/port_faults.h"

/// What can go wrong on a bad day. All of it:
///
/// - Between converter and firmware: codes that stand still, saturate or are old, a reference or a transfer
///   that fails and says so, frames that are lost, doubled or late, one bit of a frame that flips, two
///   channels that change places after the frame's sum was made. On one channel or all, in some frames or
///   all.
/// - On the console's line: bytes lost, garbled or doubled either way, a client that leaves.
/// - Of the board: a supply that is low and is told to be, power that goes at any moment and comes back, a
///   clock that stands still.
/// - In the memory: power that goes in the middle of an operation, a part that refuses operations and says
///   so, up to three bits that change while nothing is written.
/// - In the scale: any cause of the catalogue, at once, growing, or coming and going, under any load.
/// - At its front: keys, console lines and registers in any order, with the seal closed or open.
///
/// Not in it, and refused: what `refuses` says. Some faults in it no firmware can notice: `unnoticeable.h`.
namespace cornerbench::bad_days {

/// The kinds of mishap; `kind_words` names each.
enum class Kind : unsigned char {
    stuck,
    saturated,
    frames_lost,
    repeated,
    bit_flipped,
    late,
    reference_missing,
    channels_exchanged,
    transfer_failed,
    not_new,
    bytes_lost,
    bytes_garbled,
    bytes_doubled,
    client_leaves,
    supply_low,
    power_cut,
    clock_stopped,
    memory_torn,
    memory_worn,
    memory_bits,
    cause,
    keys,
    commands,
    registers,
    seal_open
};

inline constexpr int kind_count = static_cast<int>(Kind::seal_open) + 1;

/// In the order of `Kind`, as in JSON and on the screen.
inline constexpr std::array<std::string_view, kind_count> kind_words{"stuck code",
                                                                     "saturated",
                                                                     "frames lost",
                                                                     "frames repeated",
                                                                     "bit flipped",
                                                                     "frames late",
                                                                     "reference missing",
                                                                     "channels exchanged",
                                                                     "transfer failed",
                                                                     "old code",
                                                                     "line bytes lost",
                                                                     "line bytes garbled",
                                                                     "line bytes doubled",
                                                                     "client leaves",
                                                                     "supply low",
                                                                     "power cut",
                                                                     "clock stopped",
                                                                     "power cut while storing",
                                                                     "memory refuses",
                                                                     "memory bits flipped",
                                                                     "cause in the scale",
                                                                     "keys",
                                                                     "console commands",
                                                                     "register writes",
                                                                     "commands with the seal open"};

inline constexpr int most_memory_bits = 3;

/// One thing that goes wrong. Which members count depends on `kind`.
struct Mishap {
    Kind kind = Kind::stuck;
    double lasts_s = 0.0;         ///< of converter, line, board and cause
    double share = 1.0;           ///< of the frames or bytes that it hits
    faults::PortFault port{};     ///< of a converter's: channel, other, bit
    faults::Scheduled cause{};    ///< of a cause
    int times = 1;                ///< keys, commands, writes, flipped bits, refused operations
    bool lies_about_sum = false;  ///< the frame's sum is made anew after the bit flipped: not in the model
};

/// Why the model does not have such a mishap on this scale, in words; empty when it does.
std::string refuses(const scale::Description& description, const Mishap& mishap);

/// From a change of what is true to a weight, flag or blank display that says so: the longest time, in s. A
/// stuck code takes half a second to be known (`weighing::stuck_frames_for` at 100 Hz), the filter and the
/// window for rest hold what was for the rest of it.
inline constexpr double reaction_s = 1.0;

}  // namespace cornerbench::bad_days
