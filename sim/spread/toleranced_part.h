#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "firmware/scale/condition.h"
#include "sim/field/part_tolerances.h"

/// The parts of a scale that have a tolerance, and what it is to have one of a given size.
namespace cornerbench::spread {

/// The kinds of part that have a tolerance of their own.
enum class Part : unsigned char {
    rated_output,
    zero_balance,
    input_resistance,
    output_resistance,
    cable_length,
    cable_cut,
    conductor,
    terminal,
    mixing,
    trim_total,
    // From here on what comes after the corners were trimmed.
    trim_setting,
    span_drift,
    zero_drift,
    trim_drift,
    copper_temperature
};

inline constexpr int part_count = static_cast<int>(Part::copper_temperature) + 1;

constexpr int index_of(Part part) {
    return static_cast<int>(part);
}

/// True for what a technician who trims the corners cannot trim away, for it comes later.
constexpr bool comes_later(Part part) {
    return part >= Part::trim_setting;
}

/// "output resistance".
std::string_view words_of(Part part);

/// The unit of its half-width: "%", "m", "ohm", "ppm/K" or "K".
std::string_view unit_of(Part part);

/// One number that varies: a part of one cell, or of all at once.
struct Variable {
    Part part = Part::rated_output;
    int cell = -1;            ///< -1: common to the whole scale
    double half_width = 0.0;  ///< as the tolerances have it, in `unit_of(part)`
    /// Relative, but m, ohm and K where the unit says so; drifts over the whole of `temperature_K`.
    double reach = 0.0;
};

/// Whether the corners are as they come out of the crates, trims where the scale's file has them; or trimmed,
/// with span and zero set, and the temperature somewhere else since.
enum class State : unsigned char { as_delivered, trimmed };

/// All that varies on this scale, in a fixed order; nothing whose half-width is zero.
std::vector<Variable> variables_of(const scale::Description& description,
                                   const field::PartTolerances& tolerances, State state);

/// The scale with every variable in its middle: where `apply` starts from.
scale::Condition nominal_condition(const scale::Description& description,
                                   std::span<const Variable> variables);

/// Puts a variable, `x` times its half-width away from nominal, into the condition.
void apply(const Variable& variable, double x, const scale::Description& description,
           scale::Condition& condition);

}  // namespace cornerbench::spread
