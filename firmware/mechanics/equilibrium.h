#pragma once

#include "firmware/mechanics/deck_springs.h"

namespace cornerbench::mechanics {

/// How a search for equilibrium ended.
enum class Found : unsigned char {
    equilibrium,
    neutral,    ///< in balance, but on supports that leave it free to rock
    mechanism,  ///< the deck moves away and nothing stops it
    nothing     ///< no set agreed with its own forces within the bound on steps
};

/// Finds the set of carrying supports and sticking contacts that agrees with its own forces, and the
/// equilibrium it stands in. Supports that only push and contacts that slide at a limit have energies convex
/// in the displacement, so there is one lowest energy; Newton steps from set to set that never climb find it
/// and cannot cycle (Newton's method for piecewise quadratic functions). Never returns `neutral`: a deck free
/// to rock is brought to where it touches, or, should that fail, left where it is in balance.
Found find_equilibrium(const DeckSprings& springs, const Situation& situation, ActiveSet& set,
                       Nodes& squeeze);

}  // namespace cornerbench::mechanics
