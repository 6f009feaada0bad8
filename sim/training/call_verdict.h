#pragma once

#include <functional>
#include <optional>
#include <span>
#include <vector>

#include "sim/field/visit.h"
#include "sim/training/against.h"

namespace cornerbench::training {

/// How a call ends.
enum class CallEnd : unsigned char {
    right,
    as_right_as_can_be,  ///< no reading on the list would tell it from the truth
    too_early,           ///< the readings taken do not tell it from the truth, others would
    one_of_two,          ///< of two causes one was named, or one right and one wrong
    wrong
};

/// True when the drill is over with it.
constexpr bool is_found(CallEnd end) {
    return end == CallEnd::right || end == CallEnd::as_right_as_can_be;
}

/// What a trainee's word about the hidden causes is worth.
struct CallVerdict {
    CallEnd end = CallEnd::wrong;
    std::optional<Against> against;                   ///< what speaks most against a wrong call
    std::optional<field::NextCheck> missing;          ///< where nothing read does: what would tell
    std::vector<diagnosis::Candidate> missing_about;  ///< the named cause and the truth, as in NextCheck
    bool guessed = false;  ///< found, but see `is_guess`; `missing` is what would have told
};

/// Somebody who has read the sheet, and what is hidden from him.
struct CallPlace {
    const scale::Description& description;
    const diagnosis::Sheet& sheet;
    std::span<const scale::Fault> hidden;
    const field::CheckMinutes& minutes;
    const field::Workplace& from;
};

/// True when what was read does not bear out `named`: it and what readings cannot tell from it are less
/// likely than not, or, where two are named, all that has one of them.
bool is_guess(const field::DiagnosedSheet& ranked, std::span<const scale::Fault> named);

/// None `named` says that nothing is wrong. Variants and magnitudes do not count. `ranked` gives the sheet's
/// ranking.
CallVerdict verdict_of(const CallPlace& place, std::span<const scale::Fault> named,
                       const std::function<const field::DiagnosedSheet&()>& ranked);

}  // namespace cornerbench::training
