#pragma once

#include <set>

#include "sim/files/scale_file.h"
#include "sim/files/standard_file.h"

/// The limits that a standard sets to a scale's tests, in kg, the same for the plan, the survey and the
/// record.
namespace cornerbench::commissioning {

/// Limit of error at `load_kg`, kg.
double limit_kg(const files::Standard& standard, const files::ScaleFile& scale, files::Stage stage,
                double load_kg);

/// Loads at which that limit changes, kg, rising: the edges of the class's bands, counted in the division
/// that holds there, and the ends of a multi-interval scale's ranges.
std::set<double> limit_changes_kg(const files::Standard& standard, const files::ScaleFile& scale);

/// How far apart the results of a corner round or of the sections may lie, kg; 0 where the standard does not
/// say.
double corner_spread_limit_kg(const files::Standard& standard, const files::ScaleFile& scale,
                              files::Stage stage, double load_kg);

/// How far apart repeated weighings of `load_kg` may lie, kg; 0 where the standard does not say.
double repeatability_limit_kg(const files::Standard& standard, const files::ScaleFile& scale,
                              files::Stage stage, double load_kg);

/// How far off zero the display may be after the loads, kg; 0 where the standard does not say.
double zero_return_limit_kg(const files::Standard& standard, const files::ScaleFile& scale,
                            files::Stage stage);

/// Error before rounding at which the verdict on `limit` turns, kg: the limit itself, or where a standard
/// judges what is shown, half a division past the last whole one within it. No limit of the standard's.
double turning_point_kg(const files::Standard& standard, double limit_kg, double division_kg);

}  // namespace cornerbench::commissioning
