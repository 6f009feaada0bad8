#pragma once

#include <array>
#include <span>

#include "firmware/diagnosis/load_history.h"
#include "firmware/diagnosis/scatter.h"
#include "firmware/scale/description.h"

/// The readings of a sheet as numbers to compare: each measured value in the form in which its error is
/// evenly spread, with its own variance.
namespace cornerbench::diagnosis {

/// Where a row's prediction comes from.
enum class RowKind : unsigned char {
    weight,         ///< kg
    bus_signal,     ///< signal with the cell still connected, V or V/V
    channel,        ///< V/V
    excitation,     ///< V
    lifted_signal,  ///< V or V/V
    resistance      ///< natural logarithm of ohms
};

/// One reading as a number with the variance of its measurement, in the unit of its kind.
struct Row {
    RowKind kind = RowKind::weight;
    short reading = 0;
    short position = -1;    ///< box position whose cell alone decides it; -1 for the others
    double value = 0.0;     ///< as measured; of an `open_ended` resistance the last value, or the least one
    double variance = 0.0;  ///< of the measurement alone; of an `open_ended` one where its least value stands
    bool open_ended = false;  ///< over range, under range, blank or at least: no value
};

/// Most rows: one per reading.
struct Rows {
    std::array<Row, max_readings> row{};
    int measured = 0;    ///< rows with a value come first
    int open_ended = 0;  ///< then those without
};

/// Sorts a sheet's readings into rows; inspections are not among them.
Rows rows_of(const Sheet& sheet, const scale::Description& description, const Scatter& scatter);

/// True of an insulation, which another instrument measures than a resistance.
bool against_shield(const Reading& reading);

}  // namespace cornerbench::diagnosis
