#pragma once

#include <array>

#include "firmware/diagnosis/reading.h"
#include "firmware/diagnosis/trim_settings.h"
#include "firmware/diagnosis/trim_verdict.h"
#include "firmware/scale/description.h"

/// From corner readings to the setting of every trim, the order to turn them in, and what the display must
/// show while each is turned.
namespace cornerbench::diagnosis {

/// What is asked. Does not own the readings.
struct TrimQuestion {
    const scale::Description& description;  ///< with the present position of each trim
    /// Its weights over corners and sections, load increasing; and, where it has them, each lifted cell's
    /// signal with the deck empty: without, display targets rest on the cells' nominal zero.
    Sheet sheet;
    /// How near to a position a potentiometer can be left, half-width (common practice, no source).
    double setting_turns = 0.05;
    /// True: the indicator is set to zero on the empty deck before each corner, by hand or by its zero
    /// tracking. False: it keeps the zero with which the corners were read.
    bool zero_before_each = true;
    /// Every trim is set, even where the corners differ by no more than the readings' own uncertainty.
    /// Without, trims whose corners agree within it stay, all of them or some, and the others come to these.
    bool even_if_within_uncertainty = false;
};

/// What the display shows, in kg, as computed and as rounded to the division.
struct Display {
    double kg = 0.0;
    double rounded_kg = 0.0;
};

/// Difference between the largest and the smallest of all corners, as far as it is left to chance.
struct Spread {
    double expected_kg = 0.0;   ///< mean over many such scales
    double within_95_kg = 0.0;  ///< not exceeded on 95 of 100
};

/// One corner with its cell and trim, by support.
struct CornerTrim {
    double relative_gain = 1.0;  ///< what the cell gives, in proportion to the mean of all
    double relative_gain_sd = 0.0;
    double present_at = 0.0;  ///< turns, ohms of a fixed resistor, or digital gain
    double at = 0.0;          ///< computed; at the trim's end if it cannot reach further
    double at_sd = 0.0;
    double fitted_at = 0.0;    ///< what to set: `at`, or a fixed resistor's nearest value of E96
    double present_ohm = 0.0;  ///< of the variable part; 0 for digital gains
    double ohm = 0.0;
    double fitted_ohm = 0.0;
    double beyond_ohm = 0.0;  ///< by how much the trim falls short
    bool stays = false;       ///< left alone: what its change would mend, the readings cannot tell
    bool at_stop = false;     ///< left where it takes no signal
    double mass_kg = 0.0;     ///< the load of this corner's weights
    double before_kg = 0.0;   ///< this corner's weight before any turning, at the present span
    double after_kg = 0.0;    ///< and with every `fitted_at`
};

/// One stop of the weight on its way round.
struct TrimStep {
    int corner = 0;
    double from_at = 0.0;
    double to_at = 0.0;
    Display before;   ///< the corner's load on, its trim not yet turned
    Display target;   ///< turn until the display shows this
    Display emptied;  ///< the load off, before any zeroing
    Display check;    ///< zero set anew, the load on again: right whatever the cell's zero is
    /// Of `target` and `emptied`, whose difference alone is sure: the trim changes the empty signal too, and
    /// by how much depends on the cell's zero and share of the dead load.
    double target_sd_kg = 0.0;
};

/// A trim plan: a verdict, the setting of every trim, the order to turn them in, and what corners are left
/// with.
struct TrimSolution {
    TrimVerdict verdict = TrimVerdict::not_solvable;
    int corner = -1;
    int reading = -1;            ///< index into the sheet
    double reading_score = 0.0;  ///< how far it is off, in standard deviations
    std::array<bool, scale::max_cells> missing{};

    int corner_count = 0;
    bool digital = false;
    bool zero_before_each = true;
    std::array<CornerTrim, scale::max_cells> corners{};
    /// In the order to go; a corner whose trim stays is visited to check it.
    std::array<TrimStep, scale::max_cells> steps{};
    int step_count = 0;

    /// All spreads are for this load over each corner.
    double reference_kg = 0.0;
    double spread_before_kg = 0.0;
    double spread_after_kg = 0.0;  ///< computed, with every `fitted_at`: what stops and E96 leave
    Spread readings_alone;         ///< what these readings' uncertainty feigns between equal corners
    Spread by_position;            ///< left beside it when trims are set to their computed positions
    Spread by_display;             ///< left beside it when they are turned until target and check are right

    double resolution_kg = 0.0;  ///< to which the weights were read; 0: finer than a tenth of a division
    double shown_per_kg = 1.0;   ///< after trimming, at the present span
    double span_factor = 1.0;    ///< by which to multiply the span afterwards
    double signal_change = 1.0;  ///< mean signal per load after over before
};

/// Solves with `model`, freshly made of the question's description and of a per-cell box's present gains: the
/// caller keeps it (28 kB) where there is room; 20 kB of stack come on top. On out_of_range the corners hold
/// the settings that come nearest, and there are no steps. On leave_it every trim stays.
TrimSolution solve_trim(const TrimQuestion& question, CornerModel& model);

}  // namespace cornerbench::diagnosis
