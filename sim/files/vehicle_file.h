#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/files/file_error.h"
#include "sim/files/key_text.h"

/// @file
/// A vehicle as a test load: axles with their masses and spacings.
///
///     name = "Two-axle tipper, laden"
///     unit = "kg"                        # kg | t | lb
///     braking_m_per_s2 = 0.5             # optional, and so are the next three
///     bounce_Hz = 3.1
///     bounce_damping = 0.1
///     bounce_share = 0.04
///     [[axle]]                           # from the front
///     mass = 5600
///     [[axle]]
///     mass = 10400
///     spacing_m = 3.7                    # behind the axle before it
namespace cornerbench::files {

/// One axle of a vehicle that stands level.
struct Axle {
    double mass_kg = 0.0;
    double behind_front_m = 0.0;  ///< distance from the first axle
};

/// Most axles of a vehicle: each puts two wheel tracks on the deck.
inline constexpr int max_axles = 12;

/// A vehicle as its file says it.
struct Vehicle {
    std::string path;
    std::string name;
    std::vector<Axle> axles;  ///< from the front, at least one

    // What the file does not say is left to the yard.
    std::optional<double> braking_m_per_s2{};
    std::optional<double> bounce_Hz{};
    std::optional<double> bounce_damping{};  ///< share of the critical one
    /// Swing of the axles' forces when it has come to a stand, as a share of their loads; it dies away by the
    /// damping.
    std::optional<double> bounce_share{};

    double total_kg() const;
};

/// Every key of a vehicle file; those of "axle" stand under each [[axle]].
const std::vector<PlainKey>& vehicle_keys();

/// The keys of a vehicle file for people, as text in 80 columns.
std::string vehicle_keys_text();

/// Reads a vehicle from `path`, or from text that `path` names in errors. All errors at once.
Loaded<Vehicle> load_vehicle(const std::string& path);
Loaded<Vehicle> parse_vehicle(std::string_view text, const std::string& path);

}  // namespace cornerbench::files
