#pragma once

#include <string_view>

#include "firmware/watch/passage.h"

/// The numbers of one truck that on a sound scale do not depend on the truck.
///
/// A truck drives along a line, so that of every section's load the far support takes the same share,
/// wherever on the deck an axle is. How far one section's share strays from the others' is `lateral`; what of
/// the difference between far and near does not grow with the load is `gap`, and what of it differs between
/// driving on and driving off is `hysteresis`. The same truck weighs the same at either end: `left_end` and
/// `right_end` compare it there with where it stood, `front_steps` and `rear_steps` compare one axle's step
/// at the left end with its step at the right end. What stays when it has left is `zero_return`; what changes
/// until the next truck is `zero_moved`.
namespace cornerbench::watch {

/// What a number compares; see above.
enum class NumberKind : std::uint8_t {
    lateral,     ///< of section `index`; share, per-cell boxes alone
    gap,         ///< of section `index`, far less near; kg, per-cell boxes alone
    hysteresis,  ///< of section `index`, half of driving on less driving off; kg, per-cell boxes alone
    left_end,    ///< natural logarithm of a ratio, as the next three
    right_end,
    front_steps,
    rear_steps,
    zero_return,  ///< of channel `index`; kg
    zero_moved    ///< of channel `index`; kg
};

/// In a few words, for tables.
constexpr std::string_view words(NumberKind kind) {
    switch (kind) {
        case NumberKind::lateral:
            return "how a section's load is shared by its sides";
        case NumberKind::gap:
            return "gap under a section";
        case NumberKind::hysteresis:
            return "friction at a section";
        case NumberKind::left_end:
            return "left end against standing";
        case NumberKind::right_end:
            return "right end against standing";
        case NumberKind::front_steps:
            return "front axles' steps at both ends";
        case NumberKind::rear_steps:
            return "rear axles' steps at both ends";
        case NumberKind::zero_return:
            return "zero after a truck";
        case NumberKind::zero_moved:
            return "zero between trucks";
    }
    return "unknown";
}

inline constexpr int end_numbers = 4;      ///< left_end to rear_steps
inline constexpr int section_numbers = 3;  ///< lateral, gap, hysteresis
inline constexpr int max_numbers = section_numbers * scale::max_sections + end_numbers + 2 * scale::max_cells;

/// Which numbers a box gives, one after another.
struct NumberList {
    int channels = 0;  ///< 1, or one per support
    int sections = 0;

    bool per_cell() const { return channels > 1; }
    /// How many of the numbers are of sections, which come first; 0 behind one channel.
    int of_sections() const { return per_cell() ? section_numbers * sections : 0; }
    int count() const { return of_sections() + end_numbers + 2 * channels; }
    /// What a number, from 0 to before `count`, compares.
    NumberKind kind(int number) const;
    int index(int number) const;  ///< section or channel; 0 where it has none
    int place(int number) const;  ///< the same counted from 1; 0 where it has none
    /// The number of that kind and section or channel, which the list must have.
    int find(NumberKind kind, int index = 0) const;
};

/// The numbers of one truck; those that it did not give are not `known`.
struct TruckNumbers {
    std::array<double, max_numbers> value{};
    std::uint64_t known = 0;  ///< one bit per number
    /// How each of the end numbers answers to a relative gain of each channel.
    std::array<std::array<double, scale::max_cells>, end_numbers> answer{};

    bool is_known(int number) const { return (known >> static_cast<unsigned>(number) & 1u) != 0; }
    void set(int number, double kg_or_share) {
        value[static_cast<std::size_t>(number)] = kg_or_share;
        known |= std::uint64_t{1} << static_cast<unsigned>(number);
    }
};

static_assert(max_numbers <= 64);

/// `zero_moved` is left to whoever knows the truck before. A box with one channel does not see at which end a
/// truck came on: its left end is where trucks come on, its right end where they leave.
TruckNumbers truck_numbers(const NumberList& list, const Passage& passage);

}  // namespace cornerbench::watch
