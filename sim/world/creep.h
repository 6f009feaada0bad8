#pragma once

#include <array>
#include <cstddef>

#include "firmware/numbers/elementary.h"

namespace cornerbench::world {

/// How far a cell has crept, as the load that its creep has caught up with. Under a load that stays, the lag
/// falls off in two exponentials; the weights are such that after 30 minutes a share of exactly 1 of
/// `creep` has come (OIML R 60-1:2021 speaks of the change in 30 minutes). A tenth of it comes between the
/// 20th and the 30th minute, well inside what R 60 leaves to those minutes
/// (configs/standards/oiml-r60.toml). How creep is spread over its time constants differs from cell to cell:
/// common practice, no source.
class Creep {
  public:
    static constexpr std::array<double, 2> time_constant_s{60.0, 600.0};

    /// Crept in full under `load_N`.
    void rest_under(double load_N) { caught_up_.fill(load_N); }

    /// What a step of one sample lets it catch up.
    struct Step {
        std::array<double, 2> share{};
        explicit Step(double step_s = 0.0) {
            for (std::size_t i = 0; i < share.size(); ++i)
                share[i] = 1.0 - numbers::exp(-step_s / time_constant_s[i]);
        }
    };

    /// One sample on under `load_N`.
    void step(const Step& step, double load_N) {
        for (std::size_t i = 0; i < caught_up_.size(); ++i)
            caught_up_[i] += step.share[i] * (load_N - caught_up_[i]);
    }

    /// Times the cell's `creep` and its sensitivity this is what creep adds to the output, in N.
    double crept_N() const { return weight_fast * caught_up_[0] + weight_slow * caught_up_[1]; }

  private:
    static constexpr double weight_fast = 0.4;
    static constexpr double weight_slow = 0.6 / (1.0 - 0.049787068367863944);  // e^-3, half an hour of 600 s

    std::array<double, 2> caught_up_{};
};

}  // namespace cornerbench::world
