#pragma once

/// Gravity where a scale stands, and what moving it to another place does to its span.
namespace cornerbench::weighing {

/// m/s2 at a latitude in degrees and a height in m: normal gravity on the GRS80 ellipsoid by Somigliana's
/// formula (Moritz, Geodetic Reference System 1980), less the free-air gradient 3.086e-6 per s2. The true
/// value differs by up to some 1e-4 of itself from place to place (common practice, no source): where the
/// division asks for more, enter a measured one.
double local_gravity(double latitude_deg, double height_m);

/// Why a gravity in m/s2 is refused.
enum class GravityError : unsigned char {
    none,
    not_a_number,
    off_the_earth  ///< outside `least_gravity` to `largest_gravity`: more likely a mistyped key
};

/// Normal gravity runs from 9.780 at the equator to 9.832 at the poles, 0.031 less on the highest mountain;
/// 0.02 m/s2 of leeway either way.
inline constexpr double least_gravity = 9.73;
inline constexpr double largest_gravity = 9.86;

/// Whether a gravity lies within these bounds.
GravityError check_gravity(double gravity_m_per_s2);

/// What a scale's weight has to be multiplied by where gravity is `used`, when its span was set where it was
/// `calibrated`: calibrated / used, since the cells feel mass times gravity.
struct SpanFactor {
    double factor = 1.0;  ///< 1 with an error
    GravityError error = GravityError::none;
};

SpanFactor span_factor(double calibrated_m_per_s2, double used_m_per_s2);

}  // namespace cornerbench::weighing
