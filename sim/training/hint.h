#pragma once

#include <optional>
#include <vector>

#include "sim/field/visit.h"
#include "sim/training/against.h"

namespace cornerbench::training {

/// The reading that would tell most per minute now.
struct Hint {
    std::optional<field::NextCheck> check;  ///< nothing when no reading tells more, or none needs to
    bool enough = false;                    ///< what is read settles it as far as readings can
    std::vector<diagnosis::Candidate> about;
    diagnosis::Candidate likeliest;
    /// Asked for a second time with nothing read in between: then causes are named.
    bool again = false;
    std::optional<Against> telling;  ///< what was read that a sound scale explains least
};

/// Of a sheet that was ranked and has candidates.
Hint hint_for(const field::VisitSoFar& so_far);

}  // namespace cornerbench::training
