#pragma once

#include <array>

#include "firmware/diagnosis/reading.h"

/// The way of the loads that a sheet tells: which loads there were, and how often they were placed anew.
namespace cornerbench::diagnosis {

/// Most readings of a sheet.
inline constexpr int max_readings = 256;

/// What stood on the deck at each reading. Between two places the weights come off.
struct LoadHistory {
    int readings = 0;
    int loads = 0;                              ///< different loads, the empty deck being number 0
    int placings = 0;                           ///< times that weights were set down
    int moments = 0;                            ///< times at which the deck may stand anew, the first empty
    int zeroings = 0;                           ///< times that zero was set on the way
    std::array<short, max_readings> load_of{};  ///< by reading
    std::array<short, max_readings> placing_of{};        ///< by reading; -1 with an empty deck
    std::array<short, max_readings> moment_of{};         ///< by reading: nothing was moved since that began
    std::array<short, max_readings> first_reading_of{};  ///< by load: a reading that shows it; [0] unused
    std::array<short, max_readings> zeroing_of{};  ///< by reading: the latest zeroing until then, -1 for none
    std::array<short, max_readings> zero_reading_of{};  ///< by zeroing: the reading at which it was
};

/// Reads the history off a sheet of at most `max_readings`.
LoadHistory load_history(const Sheet& sheet);

/// True when both loads put the same masses at the same places.
bool same_load(const Load& a, const Load& b);

/// True when both stand at the same places, whatever the masses.
bool same_places(const Load& a, const Load& b);

/// The load as forces on the deck, `times` its masses. Returns how many.
int point_loads(const Load& load, double gravity, double times,
                std::array<mechanics::PointLoad, max_standing>& out);

/// True when a reading speaks of what stands on the deck.
bool uses_load(Quantity quantity);

}  // namespace cornerbench::diagnosis
