#pragma once

#include <cstdint>

namespace cornerbench::world {

/// Streams of a world's seed: what one part draws does not change what another gets.
enum RandomStream : std::uint64_t {
    converter_stream = 101,
    wind_stream = 102,
    cloud_stream = 103,
    mains_stream = 104,
    vehicle_stream = 1000  ///< plus the vehicle's number; faults/ has those from a million on
};

}  // namespace cornerbench::world
