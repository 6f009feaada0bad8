#pragma once

/// Resistance of copper conductors.
namespace cornerbench::scale {

/// Resistivity of annealed copper at 20 C in ohm mm2/m (IEC 60028: 1/58; 17.241 nohm m).
inline constexpr double copper_ohm_mm2_per_m = 0.017241;
/// Change per kelvin at 20 C, constant mass (IEC 60028; 0.00393).
inline constexpr double copper_per_K = 0.00393;

/// Ohms per metre of one solid conductor of `area_mm2` at `temperature_C`.
constexpr double copper_ohm_per_m(double area_mm2, double temperature_C) {
    return copper_ohm_mm2_per_m / area_mm2 * (1.0 + copper_per_K * (temperature_C - 20.0));
}

}  // namespace cornerbench::scale
