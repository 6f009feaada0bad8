#pragma once

/// Units of the core: kg (mass at the local gravity), V, ohm, V/V, m, s, degrees C, N.
namespace cornerbench::scale {

/// Standard acceleration of free fall, m/s2 (3rd CGPM, 1901): turns a cell's capacity in kg into newtons.
inline constexpr double standard_gravity = 9.80665;

/// One avoirdupois pound in kg, exact (international yard and pound agreement, 1959).
inline constexpr double kilograms_per_pound = 0.45359237;

/// The unit in which a scale's file and screens speak of mass.
enum class MassUnit : unsigned char { kilogram, tonne, pound };

/// Kilograms in one `unit`.
constexpr double kilograms_in(MassUnit unit) {
    return unit == MassUnit::pound ? kilograms_per_pound : unit == MassUnit::tonne ? 1000.0 : 1.0;
}

}  // namespace cornerbench::scale
