#include "sim/files/gravity.h"

#include <cmath>
#include <numbers>

namespace cornerbench::files {

namespace {

constexpr double equator_gravity = 9.7803267715;
constexpr double somigliana_k = 0.001931851353;
constexpr double eccentricity_squared = 0.00669438002290;
constexpr double free_air_per_m = 3.086e-6;

}  // namespace

double local_gravity(double latitude_deg, double height_m) {
    const double s = std::sin(latitude_deg * std::numbers::pi / 180.0);
    const double normal =
        equator_gravity * (1.0 + somigliana_k * s * s) / std::sqrt(1.0 - eccentricity_squared * s * s);
    return normal - free_air_per_m * height_m;
}

}  // namespace cornerbench::files
