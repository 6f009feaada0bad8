#pragma once

#include <utility>

#include "firmware/circuit/lanes.h"

/// Meshes of one shape side by side: the dense inner loop behind every reduction of a cell or a bus.
namespace cornerbench::circuit {

/// Place of the pair of nodes `low` < `high` in a packed triangle.
constexpr int pair_of(int low, int high) {
    return high * (high - 1) / 2 + low;
}

/// What the elimination of a node must remember: the neighbours' shares of its star, and one over its sum.
template <int Neighbours, int Lanes>
struct StarLanes {
    Lane<Lanes> share[Neighbours];
    Lane<Lanes> inverse;
};

/// Added to a star's sum: lost in any real one, and a node that hangs free divides by it instead of by zero.
inline constexpr double least_siemens = 1.0e-290;

/// Conductances between `Nodes` nodes, one mesh per lane.
template <int Nodes, int Lanes>
struct MeshLanes {
    static constexpr int pairs = Nodes * (Nodes - 1) / 2;

    Lane<Lanes> siemens[pairs];

    /// Takes out node `Last`, the highest one left. A node that hangs free has shares of 0.
    template <int Last>
    void eliminate(StarLanes<Last, Lanes>& star) {
        eliminate(star, [this](int pair) { return siemens[pair]; });
    }

    /// The same while the pairs below `Last` still stand elsewhere, at `before(pair)`.
    template <int Last, typename Before>
    void eliminate(StarLanes<Last, Lanes>& star, const Before& before) {
        const Lane<Lanes>* to = siemens + pair_of(0, Last);
        star.inverse = all<Lanes>(1.0) / (total<0, Last>(to) + all<Lanes>(least_siemens));
        for (int k = 0; k < Last; ++k) star.share[k] = to[k] * star.inverse;
        add_rows(star, to, before, std::make_integer_sequence<int, Last - 1>{});
    }

  private:
    /// Sum of `Count` conductances from `First` on, by halves: a long chain of additions would be waited for.
    template <int First, int Count>
    static Lane<Lanes> total(const Lane<Lanes>* to) {
        if constexpr (Count == 1) {
            return to[First];
        } else {
            return total<First, Count / 2>(to) + total<First + Count / 2, Count - Count / 2>(to);
        }
    }

    /// Adds a star's mesh, one row of the triangle for each of its neighbours but the first. Every row has
    /// its own length as a constant, so that a compiler may write it out.
    template <int Last, typename Before, int... Index>
    void add_rows(const StarLanes<Last, Lanes>& star, const Lane<Lanes>* to, const Before& before,
                  std::integer_sequence<int, Index...>) {
        (add_row<Index + 1>(star.share[Index + 1], to, before), ...);
    }
    template <int High, typename Before>
    void add_row(const Lane<Lanes>& share, const Lane<Lanes>* to, const Before& before) {
        constexpr int row = pair_of(0, High);
        for (int low = 0; low < High; ++low) siemens[row + low] = before(row + low) + share * to[low];
    }
};

}  // namespace cornerbench::circuit
