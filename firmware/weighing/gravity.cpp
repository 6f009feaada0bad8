#include "firmware/weighing/gravity.h"

#include <cmath>

#include "firmware/numbers/elementary.h"
#include "firmware/numbers/sine.h"

namespace cornerbench::weighing {

namespace {

constexpr double equator_gravity = 9.7803267715;
constexpr double somigliana_k = 0.001931851353;
constexpr double eccentricity_squared = 0.00669438002290;
constexpr double free_air_per_m = 3.086e-6;

}  // namespace

double local_gravity(double latitude_deg, double height_m) {
    const double s = numbers::sin(latitude_deg * numbers::pi / 180.0);
    const double normal =
        equator_gravity * (1.0 + somigliana_k * s * s) / std::sqrt(1.0 - eccentricity_squared * s * s);
    return normal - free_air_per_m * height_m;
}

GravityError check_gravity(double gravity_m_per_s2) {
    if (!(gravity_m_per_s2 == gravity_m_per_s2)) return GravityError::not_a_number;
    const bool on_earth = gravity_m_per_s2 >= least_gravity && gravity_m_per_s2 <= largest_gravity;
    return on_earth ? GravityError::none : GravityError::off_the_earth;
}

SpanFactor span_factor(double calibrated_m_per_s2, double used_m_per_s2) {
    SpanFactor result;
    result.error = check_gravity(calibrated_m_per_s2);
    if (result.error == GravityError::none) result.error = check_gravity(used_m_per_s2);
    if (result.error == GravityError::none) result.factor = calibrated_m_per_s2 / used_m_per_s2;
    return result;
}

}  // namespace cornerbench::weighing
