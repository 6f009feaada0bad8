#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "firmware/numbers/elementary.h"

namespace cornerbench::field {

/// The numbers of one stream, in the order in which they are asked for. Those not chosen yet are 0, the
/// middle.
struct ChosenStream {
    std::vector<double> normal;
    std::vector<bool> even;  ///< asked for as a share, even in (0, 1), not as a normal
};

/// What a generator would draw, chosen instead: every number as the standard normal that it stands for.
struct Draws {
    ChosenStream specimen;
    ChosenStream home_run;
    ChosenStream fresh_cell;
    ChosenStream field;  ///< where loads stand, and the error of the weights

    std::size_t size() const {
        return specimen.normal.size() + home_run.normal.size() + fresh_cell.normal.size() +
               field.normal.size();
    }

    double& operator[](std::size_t i) { return stream(i).normal[i]; }
    double operator[](std::size_t i) const { return const_cast<Draws*>(this)->stream(i).normal[i]; }

    /// What the generator makes of number `i`: the share, or the normal itself.
    double value(std::size_t i) const {
        const double z = (*this)[i];
        return even(i) ? numbers::normal_below(z) : z;
    }

    /// Change of that per change of the normal.
    double per_normal(std::size_t i) const {
        constexpr double per_sqrt_2pi = 0.39894228040143267794;
        const double z = (*this)[i];
        return even(i) ? per_sqrt_2pi * numbers::exp(-0.5 * z * z) : 1.0;
    }

  private:
    /// The stream of number `i`, which is counted within it from then on.
    ChosenStream& stream(std::size_t& i) {
        for (ChosenStream* s : {&specimen, &home_run, &fresh_cell}) {
            if (i < s->normal.size()) return *s;
            i -= s->normal.size();
        }
        return field;
    }
    bool even(std::size_t i) const { return const_cast<Draws*>(this)->stream(i).even[i]; }
};

}  // namespace cornerbench::field
