#pragma once

#include <optional>
#include <vector>

#include "sim/field/visit.h"

namespace cornerbench::training {

/// The reading that would tell most per minute now.
struct Hint {
    std::optional<field::NextCheck> check;  ///< nothing when no reading tells more, or none needs to
    bool enough = false;                    ///< what is read settles it as far as readings can
    std::vector<diagnosis::Candidate> about;
    diagnosis::Candidate likeliest;
};

/// Of a sheet that was ranked and has candidates.
Hint hint_for(const field::VisitSoFar& so_far);

}  // namespace cornerbench::training
