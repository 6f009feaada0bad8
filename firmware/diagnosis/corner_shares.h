#pragma once

#include <array>
#include <span>

#include "firmware/diagnosis/corner_scale.h"

namespace cornerbench::diagnosis {

/// The first supports x supports elements are used, row-major without padding.
using SupportMatrix = std::array<double, scale::max_cells * scale::max_cells>;
using PerSupport = std::array<double, scale::max_cells>;

/// How a mass over one support is shared out among all supports.
struct CornerShares {
    int supports = 0;
    /// [i * supports + j]: change of support j's force over the mass over support i. A row sums to 1. Seven
    /// figures are plenty: no reading has five.
    std::array<float, scale::max_cells * scale::max_cells> share{};
    PerSupport dead_kg{};     ///< what support j carries of the empty deck when all stand level
    PerSupport preload_kg{};  ///< how far it may be off that, by height errors: standard uncertainty
    PerSupport mass_kg{};

    /// Change of `support`'s force over the mass over `loaded`.
    double of(int loaded, int support) const {
        return static_cast<double>(share[loaded * supports + support]);
    }

    /// Standard uncertainty of that share because the support may hang free of the empty deck, or be lifted
    /// off it by the mass, at more or at less force than a level deck's.
    double looseness(int loaded, int support) const;
};

/// Shares under `mass_kg` over each support (0 where none is to stand), each support and all structure as
/// described. Supports only push: one that the mass would lift is left out of that row. `scratch` is spoilt.
/// False when the deck does not stand.
[[nodiscard]] bool find_shares(const CornerScale& scale, const PerSupport& mass_kg, SupportMatrix& scratch,
                               CornerShares& shares);

}  // namespace cornerbench::diagnosis
