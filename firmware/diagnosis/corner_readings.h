#pragma once

#include <array>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/numbering.h"

/// The stable readings of one round of corner tests, as they come in: a mass over one support after the
/// other.
namespace cornerbench::diagnosis {

/// What can be wrong with a reading or a whole round.
enum class CornerError : unsigned char {
    none,
    no_scale,          ///< fewer than 2 or more than max_sections sections, or no stiffness to stand on
    no_such_support,   ///< or no such channel
    bad_mass,          ///< not above zero, or not a number
    bad_value,         ///< not a number
    other_mass,        ///< one support was loaded with two masses in one round
    no_empty_reading,  ///< neither an empty deck was read nor zero set before the round
    no_corner_reading,
    not_solvable,  ///< the numbers given leave nothing to compute with, such as no uncertainty at all
    working        ///< the round is still being judged
};

/// In plain words, with what would be valid.
const char* text_of(CornerError error);

/// A mean that remembers of how many.
struct ReadingMean {
    double sum_kg = 0.0;
    unsigned char count = 0;  ///< stops at 255, as the sum does then

    void add(double kg) {
        if (count == 255) return;
        sum_kg += kg;
        ++count;
    }
    /// Mean of the readings; 0 of none.
    double kg() const { return count > 0 ? sum_kg / count : 0.0; }
};

/// What was read over one support.
struct CornerReading {
    double mass_kg = 0.0;
    ReadingMean loaded;
    ReadingMean unloading;
    double zero_kg = 0.0;  ///< the empty deck before it
    bool zero_known = false;
    bool own_zero = false;        ///< read anew since the round began
    float came_down_from = 2.0F;  ///< unloading: the mass that stood there before, over this one
    unsigned char order = 0;      ///< first, second, ... support of the round
};

/// Readings of the sum, in the order in which they are taken. Between two supports the mass comes off.
/// Repeated readings of one support are averaged.
class CornerReadings {
  public:
    /// For a scale with `supports` supports whose zero was set before the round (now) or long ago (before).
    explicit CornerReadings(int supports, Zeroed zeroed = Zeroed::before)
        : supports_(supports), zeroed_(zeroed) {}

    /// The deck empty: before the first support, between two, or after the last. The more often, the better
    /// friction and drift show.
    [[nodiscard]] CornerError add_empty(double kg);
    /// The deck empty and zero set anew, after which it showed `kg`: from here on all is read from that.
    [[nodiscard]] CornerError add_zero_set(double kg);
    /// `mass_kg` over `support` (from 0), set down on an empty deck.
    [[nodiscard]] CornerError add_loaded(int support, double mass_kg, double kg);
    /// The same mass left standing there after it had been `came_down_from` times as much.
    [[nodiscard]] CornerError add_unloading(int support, double mass_kg, double kg,
                                            double came_down_from = 2.0);

    int supports() const { return supports_; }
    Zeroed zeroed() const { return zeroed_; }
    const CornerReading& corner(int support) const { return corner_[support]; }
    /// The empty deck before the first support or since zero was set, and after the latest support.
    const ReadingMean& empty() const { return empty_; }
    const ReadingMean& returned() const { return returned_; }

  private:
    CornerError open(int support, double mass_kg, double kg);

    int supports_ = 0;
    Zeroed zeroed_ = Zeroed::before;
    unsigned char opened_ = 0;   ///< supports loaded so far
    bool zero_was_set_ = false;  ///< since the first of them
    ReadingMean empty_;
    ReadingMean returned_;
    std::array<CornerReading, scale::max_cells> corner_{};
};

/// Readings of a box with a channel per cell, in kg by the cells' rated output: which channel answers with
/// how much to a mass over which support. Any part of them may be missing.
class ChannelReadings {
  public:
    explicit ChannelReadings(int supports) : supports_(supports) {}

    /// What `channel` shows with the deck empty; a later reading takes the place of an earlier one.
    [[nodiscard]] CornerError add_empty(int channel, double kg);
    /// The same with `mass_kg` over `support`; another mass than before is refused.
    [[nodiscard]] CornerError add_loaded(int support, double mass_kg, int channel, double kg);

    int supports() const { return supports_; }
    double mass_kg(int support) const { return mass_kg_[support]; }
    /// True when `channel` was read both empty and with the mass over `support`.
    bool known(int support, int channel) const {
        return ((loaded_known_[support] & empty_known_) >> channel & 1U) != 0;
    }
    /// True when every channel was read with the mass over `support`.
    bool whole_row(int support) const;
    /// Change of `channel` from the empty deck.
    double change_kg(int support, int channel) const {
        return static_cast<double>(loaded_kg_[support][channel]) - static_cast<double>(empty_kg_[channel]);
    }

  private:
    bool valid(int index) const { return index >= 0 && index < supports_ && index < scale::max_cells; }

    using Row = std::array<float, scale::max_cells>;  // 24 bits hold what a converter of 24 bits gives

    int supports_ = 0;
    std::array<double, scale::max_cells> mass_kg_{};
    Row empty_kg_{};
    std::array<Row, scale::max_cells> loaded_kg_{};
    unsigned short empty_known_ = 0;  ///< one bit per channel
    std::array<unsigned short, scale::max_cells> loaded_known_{};
};

}  // namespace cornerbench::diagnosis
