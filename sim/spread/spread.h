#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "sim/field/trial.h"
#include "sim/spread/chain.h"

/// What tolerances do to one scale's corners, span and zero, seen three ways: made-up scales by the thousand,
/// first-order sensitivities, and every part at its end at once.
namespace cornerbench::spread {

/// Corner of a test, span and zero as numbers of one view.
struct Triple {
    double corner_kg = 0.0;
    double span = 0.0;  ///< relative
    double zero_kg = 0.0;

    friend bool operator==(const Triple&, const Triple&) = default;
};

/// One kind of part with its tolerance and what it has to do with it all.
struct PartShare {
    Part part = Part::rated_output;
    double half_width = 0.0;  ///< in `unit_of(part)`; where cells differ, the widest
    Triple share;             ///< of the variance, first order: of all corners together, of span, of zero

    friend bool operator==(const PartShare&, const PartShare&) = default;
};

/// What follows from the scale and its tolerances alone.
struct FirstOrder {
    Triple deviation;  ///< standard; of the corners the root mean square
    Triple worst;      ///< sum of absolute values; of the corners the largest
    double worst_spread_kg = 0.0;
    std::vector<PartShare> parts;  ///< that vary on this scale, in the order of `Part`

    friend bool operator==(const FirstOrder&, const FirstOrder&) = default;
};

/// Change of every corner, span and zero, in this order, from the middle to the end of each variable's reach.
class Sensitivities {
  public:
    /// By central differences over a standard deviation to each side.
    explicit Sensitivities(Chain& chain);

    const Triple& span_and_zero(std::size_t variable) const { return rows_[variable].rest; }
    const std::array<double, scale::max_cells>& corners_kg(std::size_t variable) const {
        return rows_[variable].corner_kg;
    }
    FirstOrder first_order() const;
    /// Corner spread that the straight model says of `values`.
    double spread_kg(const Values& values) const;

  private:
    /// What a variable, moved by 1, changes: every corner in kg, span and zero.
    struct Row {
        std::array<double, scale::max_cells> corner_kg{};
        Triple rest;
    };

    int corners_ = 0;
    std::vector<Variable> variables_;
    std::vector<Row> rows_;
};

/// One made-up scale.
struct Sample {
    double spread_kg = 0.0;
    double straight_spread_kg = 0.0;  ///< by the first-order model
    double corner_square_kg2 = 0.0;   ///< mean over its corners
    double span = 0.0;
    double zero_kg = 0.0;
    double set_up_spread_kg = 0.0;  ///< left when the corners were trimmed
    /// Spread with one kind of part at half its tolerance, in the order of `FirstOrder::parts`.
    std::vector<double> halved_spread_kg;

    friend bool operator==(const Sample&, const Sample&) = default;
};

/// How many scales are made up, and the seed of the first.
struct SampleSetting {
    int samples = 2000;
    std::uint64_t first_seed = 1;
};

/// The values of the scale with number `seed`: even from -1 to 1.
Values values_of(std::size_t variables, std::uint64_t seed);

/// One part of the made-up scales, in the order of their seeds, which depend on nothing but the seed.
/// `progress`, when given, hears the number done.
std::vector<Sample> draw_samples(Chain& chain, const Sensitivities& straight, const SampleSetting& setting,
                                 const field::TrialShard& shard = {},
                                 const std::function<void(int)>& progress = {});

}  // namespace cornerbench::spread
