#pragma once

#include <cstdint>

#include "sim/field/random_source.h"

namespace cornerbench::world {

/// Standard normal numbers, one per sample and quick: the ziggurat of Marsaglia and Tsang (2000) in Doornik's
/// form (2005). Its tables and its rare slow paths use the core's own exponential and logarithm, so that a
/// seed means the same on every machine.
class NormalSource {
  public:
    NormalSource(std::uint64_t seed, std::uint64_t stream) : random_(seed, stream) {}

    /// The next standard normal number.
    double next();

    /// The even numbers behind it.
    field::RandomSource& even() { return random_; }

  private:
    double tail(bool below);

    field::RandomSource random_;
};

}  // namespace cornerbench::world
