#pragma once

/// Sine and cosine from + - * / alone, so that every target computes the same bits.
namespace cornerbench::numbers {

/// Largest argument, radians: whole quarter turns up to here are taken off without loss.
inline constexpr double largest_angle = 1.0e6;

/// Sine of an angle in radians; not a number beyond `largest_angle` either way.
double sin(double x);

/// Cosine, in the same range.
double cos(double x);

}  // namespace cornerbench::numbers
