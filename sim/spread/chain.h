#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "sim/spread/column_trim.h"
#include "sim/spread/load_ratios.h"
#include "sim/spread/toleranced_part.h"

namespace cornerbench::spread {

/// How one made-up scale weighs. As delivered beside the nominal scale; trimmed beside itself when it was set
/// up.
struct Outcome {
    std::array<double, scale::max_cells> corner_kg{};  ///< less the test load, span as it is now
    double span = 0.0;                                 ///< relative
    double zero_kg = 0.0;                              ///< with the deck empty
    double set_up_spread_kg = 0.0;  ///< when it was trimmed: what the trims could not reach

    /// Largest corner less smallest.
    double spread_kg(int corners) const;
};

/// Values of all variables, in the order of `Chain::variables`, each from -1 to 1.
using Values = std::vector<double>;

/// From the tolerances of one scale's parts to its corners, span and zero.
class Chain {
  public:
    Chain(const scale::Description& description, const field::PartTolerances& tolerances, State state,
          double test_kg);

    /// False when the described deck does not stand.
    bool valid() const { return loads_.valid(); }
    int corners() const { return loads_.corners(); }
    double test_kg() const { return loads_.test_kg(); }
    State state() const { return state_; }
    const std::vector<Variable>& variables() const { return variables_; }
    /// Circuits are solved many at once.
    bool by_batch() const { return boxes_.by_batch(); }

    /// What becomes of each of many sets of values, in their order.
    std::vector<Outcome> outcomes(std::span<const Values> values);

  private:
    /// Ratios of many scales with the deck empty, a load spread evenly, and the test load over each corner.
    struct Reading {
        std::vector<double> empty;
        std::vector<double> evenly;
        std::vector<std::vector<double>> over;
    };

    void read(int filled, Reading& reading) const;
    void chunk(std::span<const Values> values, std::span<Outcome> out);

    scale::Description description_;
    State state_ = State::as_delivered;
    std::vector<Variable> variables_;
    scale::Condition nominal_;
    CornerLoads loads_;
    LoadRatios ratios_;
    ColumnBoxes boxes_;
    std::optional<ColumnTrim> trim_;
    Reading now_;
    Reading set_up_;
    double nominal_zero_ = 0.0;
    double nominal_kg_per_ratio_ = 0.0;
};

}  // namespace cornerbench::spread
