#pragma once

namespace cornerbench::diagnosis {

/// What comes of asking for trim settings.
enum class TrimVerdict : unsigned char {
    solved,
    leave_it,              ///< the corners differ by no more than readings like these do
    missing_corner,        ///< see `TrimSolution::missing`
    readings_disagree,     ///< `reading` contradicts the others
    implausible_gain,      ///< `corner` answers with less than half or more than twice its share: a fault
    out_of_range,          ///< `corner` most of all; see `CornerTrim::beyond_ohm`
    no_trim,               ///< this box has none
    shunt_without_mixing,  ///< a shunt loads the common bus and trims nothing
    deck_error,            ///< the described deck does not carry these loads
    not_solvable           ///< the described circuit gives no weight, or no settings were found
};

/// "solved", "leave-it", ...
const char* name_of(TrimVerdict verdict);

}  // namespace cornerbench::diagnosis
