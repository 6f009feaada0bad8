#pragma once

#include <cstdint>

#include "firmware/storage/slots.h"

/// What a memory holds, told from nothing but its bytes.
namespace cornerbench::storage {

/// In which state a memory was found.
enum class Loaded : std::uint8_t {
    kept,       ///< the newest record that was closed, and no cut since
    in_doubt,   ///< a record that a cut may have come near: to be settled before it is in force
    older,      ///< written by an older version: to be settled likewise, in today's format
    never_set,  ///< all is erased
    damaged,    ///< something was written and what was last closed cannot be read
    newer,      ///< written by a newer version, and left alone
    unreadable  ///< the memory failed, or is too small for its records
};

/// Whether there is a record that is in force or can be settled.
constexpr bool is_found(Loaded loaded) {
    return loaded == Loaded::kept || loaded == Loaded::in_doubt || loaded == Loaded::older;
}

/// What was found in a memory, and what a writer has to know to go on behind it.
struct Found {
    Loaded loaded = Loaded::unreadable;
    /// What is found; after `damaged` the counters of what can still be read and no less than was ever
    /// reached, everything else as in a new box.
    Kept kept;
    Slot slot;                  ///< where it lies; only its area when it is `older`
    std::uint32_t used = 0;     ///< slots of that area up to the last one that was ever used
    std::uint32_t highest = 0;  ///< number on anything
};

/// Looks through all of `memory`, under which no operation may be under way.
Found find_kept(hal::Memory& memory);

}  // namespace cornerbench::storage
