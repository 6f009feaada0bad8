#pragma once

/// Gravity where a scale stands.
namespace cornerbench::files {

/// m/s2 at a latitude in degrees and a height in m: normal gravity on the GRS80 ellipsoid by Somigliana's
/// formula (Moritz, Geodetic Reference System 1980), less the free-air gradient 3.086e-6 per s2.
double local_gravity(double latitude_deg, double height_m);

}  // namespace cornerbench::files
