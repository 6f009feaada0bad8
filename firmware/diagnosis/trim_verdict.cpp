#include "firmware/diagnosis/trim_verdict.h"

namespace cornerbench::diagnosis {

const char* name_of(TrimVerdict verdict) {
    switch (verdict) {
        case TrimVerdict::solved:
            return "solved";
        case TrimVerdict::leave_it:
            return "leave-it";
        case TrimVerdict::missing_corner:
            return "missing-corner";
        case TrimVerdict::readings_disagree:
            return "readings-disagree";
        case TrimVerdict::implausible_gain:
            return "implausible-gain";
        case TrimVerdict::out_of_range:
            return "out-of-range";
        case TrimVerdict::no_trim:
            return "no-trim";
        case TrimVerdict::shunt_without_mixing:
            return "shunt-without-mixing";
        case TrimVerdict::deck_error:
            return "deck-error";
        case TrimVerdict::not_solvable:
            return "not-solvable";
    }
    return "not-solvable";
}

}  // namespace cornerbench::diagnosis
