#pragma once

/// Values in which resistors are sold.
namespace cornerbench::diagnosis {

/// Series of preferred numbers with three figures, by how many there are to a decade (IEC 60063).
enum class PreferredSeries : int { e48 = 48, e96 = 96, e192 = 192 };

/// Value `index` of the first decade, 1.00 up to 9.88: 10^(index / size) to three figures, but for the
/// 9.20 of E192, which the formula would make 9.19 (IEC 60063; the exception from memory).
double preferred_value(PreferredSeries series, int index);

/// The value of `series`, in any decade, that differs least from `ohm`; 0 for nothing or less.
double nearest_preferred_ohm(double ohm, PreferredSeries series);

}  // namespace cornerbench::diagnosis
