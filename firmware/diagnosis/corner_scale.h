#pragma once

#include <array>

#include "firmware/diagnosis/reading.h"
#include "firmware/diagnosis/scatter.h"
#include "firmware/scale/description.h"

/// What the corner check must know of a scale: its deck, and how uncertain everything is that a corner
/// reading depends on. Small enough to be kept in a summing box.
namespace cornerbench::diagnosis {

/// Standard uncertainties throughout; masses in kg. Make one with `corner_scale`, or fill it by hand.
struct CornerScale {
    scale::Deck deck;
    double gravity = scale::standard_gravity;
    double support_stiffness_N_per_m = 9.0e7;

    double resolution_kg = 0.0;  ///< one step of the readings: the division, or finer inside a box
    double repeatability_kg = 0.0;
    double placing_m = 0.0;                       ///< where a weight really stood, each way
    double support_stiffness = 0.0;               ///< relative, of each support
    double structure_stiffness = 0.0;             ///< relative, of each module's twist and each joint
    double support_height_m = 0.0;                ///< of each support
    std::array<double, scale::max_cells> gain{};  ///< relative, of each corner against the others
    double span = 0.0;            ///< relative, of all corners together: span and test weights
    double zero_kg = 0.0;         ///< drift since zero was set, where no empty reading is given
    double zero_return_kg = 0.0;  ///< what a sound scale leaves standing after the round
    double hysteresis_kg = 0.0;   ///< what sound cells read more on the way down
    double channel_kg = 0.0;      ///< per-cell box: noise and rounding of one channel
    double channel_gain = 0.0;    ///< per-cell box: relative, of one channel in kg by rated output

    /// Probability that a round of corner readings on a sound scale is called anything but sound.
    double false_alarms = 1.0e-3;

    int supports() const { return 2 * deck.sections; }
};

/// How well a deck's own stiffness is known, relative: from a drawing, and from a handbook's formulae.
/// Common practice, no source.
inline constexpr double usual_structure_stiffness = 0.2;

/// Noise and last step of one channel of a per-cell box, V/V. Common practice, no source.
inline constexpr double usual_channel_V_per_V = 6.0e-8;

/// The corner check's view of `description` under the same uncertainties as the full diagnosis: `instruments`
/// for how the round was made, `scatter` for what is never known of a sound scale, `history` for whether its
/// corners were trimmed equal or the cells stand anywhere in their tolerance.
CornerScale corner_scale(const scale::Description& description, const Instruments& instruments,
                         History history, const Scatter& scatter = {});

}  // namespace cornerbench::diagnosis
