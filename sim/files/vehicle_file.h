#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "sim/files/file_error.h"
#include "sim/files/key_text.h"

/// A vehicle as a test load: axles with their masses and spacings.
///
///     name = "Two-axle tipper, laden"
///     unit = "kg"                        # kg | t | lb
///     [[axle]]                           # from the front
///     mass = 5600
///     [[axle]]
///     mass = 10400
///     spacing_m = 3.7                    # behind the axle before it
namespace cornerbench::files {

struct Axle {
    double mass_kg = 0.0;
    double behind_front_m = 0.0;  ///< distance from the first axle
};

/// Most axles of a vehicle: each puts two wheel tracks on the deck.
inline constexpr int max_axles = 12;

struct Vehicle {
    std::string path;
    std::string name;
    std::vector<Axle> axles;  ///< from the front, at least one

    double total_kg() const;
};

/// Every key of a vehicle file; those of "axle" stand under each [[axle]].
const std::vector<PlainKey>& vehicle_keys();

/// The keys of a vehicle file for people, as text in 80 columns.
std::string vehicle_keys_text();

Loaded<Vehicle> load_vehicle(const std::string& path);
Loaded<Vehicle> parse_vehicle(std::string_view text, const std::string& path);

}  // namespace cornerbench::files
