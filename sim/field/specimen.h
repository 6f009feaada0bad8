#pragma once

#include <cstdint>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/condition.h"
#include "firmware/weighing/still_scale.h"
#include "sim/field/random_source.h"
#include "sim/field/unmodelled.h"

/// One scale of those that a scale file could mean: every part somewhere in its tolerance.
namespace cornerbench::field {

/// How far the parts of one specimen stray from their description, beside the cells' own tolerances.
/// Standard deviations of a normal spread.
struct Scatter {
    double stiffness = 0.10;  ///< of each support, relative
    double height_m = 0.3e-3;
    double dead_load = 0.02;            ///< relative
    double cable = 0.02;                ///< length of each cable, relative
    double cable_temperature_K = 10.0;  ///< all cables together
    double insulation_ln = 0.5;         ///< natural logarithm
    double excitation = 5.0e-3;         ///< of the supply, relative
    double trim_turns = 0.3;            ///< left over when the corners were trimmed
    double trim_ohm = 0.05;             ///< the same with fixed resistors, of the largest one
    double corner_gain = 2.0e-4;        ///< the same in a box with a channel per cell
    double span_calibrated = 1.0e-4;    ///< left over when span was set with weights, relative
    double span_unadjusted = 1.0e-3;    ///< the same when it was computed from the cells' papers
    double zero_divisions = 0.5;        ///< drift since zero was set
    /// Cell tolerances count so much: 1 draws each value evenly within its tolerance, 0 takes every cell as
    /// rated.
    double cell_tolerances = 1.0;
    double home_run = 0.0;  ///< length and joints of the home run beside its warmth, relative
};

/// A scale somebody is called to, of which the home run is not as in its file either.
inline constexpr Scatter called_to = [] {
    Scatter scatter;
    scatter.home_run = 0.05;
    return scatter;
}();

/// Every part as described.
inline constexpr Scatter no_scatter{0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
                                    0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0};

/// A sound scale with its zero and span.
struct Specimen {
    scale::Condition condition;
    weighing::ZeroAndSpan calibration;
};

/// Draws the specimen with number `seed`. Calibrated: its corners were trimmed equal as well as trims go,
/// then span and zero set on it. Unadjusted: trims where the file has them, span from the rated data, zero
/// set. What is `unmodelled` is there when it is set up; the weather has changed since.
Specimen draw_specimen(const scale::Description& description, diagnosis::History history,
                       const Scatter& scatter, std::uint64_t seed, const Unmodelled& unmodelled = {});

/// The same by draws of the caller's.
Specimen draw_specimen(const scale::Description& description, diagnosis::History history,
                       const Scatter& scatter, RandomSource random, RandomSource of_home_run);

/// Draws zero balance and resistances of `cell` anew: what comes with another cell of the same rating.
void draw_fresh_cell(const scale::Cell& rated, const Scatter& scatter, std::uint64_t seed,
                     scale::CellCondition& cell);
void draw_fresh_cell(const scale::Cell& rated, const Scatter& scatter, RandomSource random,
                     scale::CellCondition& cell);

}  // namespace cornerbench::field
