#pragma once

namespace cornerbench::diagnosis {

/// What is never known exactly of a sound scale, beyond the tolerances in its file. Standard uncertainties.
struct Scatter {
    /// Tolerances in a scale file are half-widths of an even spread: a standard uncertainty is this share of
    /// one (GUM, JCGM 100:2008, 4.3.7).
    double of_tolerance = 0.57735026918962576;

    double support_stiffness = 0.10;   ///< relative; concrete and grout differ more than the cells
    double support_height_m = 3.0e-4;  ///< shimmed with plates of half a millimetre
    double dead_load = 0.02;           ///< relative; steel, filling and dirt
    double cable_length = 0.02;        ///< relative; as read off a drawing
    double cable_temperature_K = 10.0;
    double insulation_ln = 0.5;  ///< natural logarithm; varies by half its size from cell to cell

    double trim_left_turns = 0.3;    ///< what a round of trimming leaves, of a potentiometer
    double trim_left_ohm = 0.05;     ///< the same with fixed resistors, of the largest times this
    double trim_left_gain = 2.0e-4;  ///< the same with digital corner gains
    double trim_read_turns = 0.1;    ///< where an untouched trim stands

    double span_calibrated = 1.0e-4;  ///< relative, after setting with weights
    double span_unadjusted = 1.0e-3;  ///< relative, as computed from the cells' papers
    double zero_divisions = 0.5;      ///< drift since the indicator was zeroed
    double excitation = 5.0e-3;       ///< relative, of the supply
    double excitation_drop = 0.05;    ///< relative, of the drop along the home run: its length and joints

    double ohmmeter_contact_ohm = 0.1;    ///< probes and their leads
    double ohmmeter_last_ohm = 4.0e7;     ///< beyond it an ohmmeter shows over range
    double insulation_last_ohm = 2.0e10;  ///< the same of an insulation tester
    double millivoltmeter_last_V = 0.2;   ///< and of a millivoltmeter; common practice, no source
    /// Probability that one value of a sheet is plainly wrong: mistyped, misread, taken at the wrong place.
    double wild = 0.02;
    /// Probability that a scale with one fault has a second one at the same time. Our own estimate; common
    /// practice, no source.
    double second_fault = 0.05;
};

}  // namespace cornerbench::diagnosis
