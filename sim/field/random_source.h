#pragma once

#include <cstdint>
#include <random>

#include "firmware/numbers/elementary.h"
#include "sim/field/draws.h"

namespace cornerbench::field {

/// Random numbers that depend on the seed alone: the generator's bits are fixed by the C++ standard, and its
/// distributions, which are not, are left out. Streams of one seed are independent of each other.
class RandomSource {
  public:
    explicit RandomSource(std::uint64_t seed, std::uint64_t stream = 0)
        : bits_(mixed(mixed(seed) + stream)) {}

    /// Gives what was chosen instead, and lengthens it by what is asked for beyond; it outlives this.
    explicit RandomSource(ChosenStream& chosen) : chosen_(&chosen) {}

    /// 64 even bits.
    std::uint64_t bits() { return bits_(); }

    /// Even in (0, 1), both ends excluded.
    double share() {
        if (chosen_ != nullptr) return numbers::normal_below(next_chosen(true));
        return (static_cast<double>(bits_() >> 11U) + 0.5) * 0x1p-53;
    }

    /// Even in (low, high).
    double between(double low, double high) { return low + (high - low) * share(); }

    /// Standard normal.
    double normal() { return chosen_ != nullptr ? next_chosen(false) : numbers::normal_quantile(share()); }

    /// Even over 0 .. count - 1.
    int index(int count) { return static_cast<int>(share() * count); }

  private:
    /// Finalizer of SplitMix64 (Steele, Lea, Flood 2014): neighbouring seeds start far apart.
    static std::uint64_t mixed(std::uint64_t x) {
        x += 0x9e3779b97f4a7c15U;
        x = (x ^ (x >> 30U)) * 0xbf58476d1ce4e5b9U;
        x = (x ^ (x >> 27U)) * 0x94d049bb133111ebU;
        return x ^ (x >> 31U);
    }

    double next_chosen(bool even) {
        if (next_ == chosen_->normal.size()) {
            chosen_->normal.push_back(0.0);
            chosen_->even.push_back(even);
        }
        return chosen_->normal[next_++];
    }

    std::mt19937_64 bits_;
    ChosenStream* chosen_ = nullptr;
    std::size_t next_ = 0;
};

}  // namespace cornerbench::field
