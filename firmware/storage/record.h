#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>

#include "firmware/storage/kept.h"

/// The bytes in which things are kept; FORMAT.md has every one of them.
namespace cornerbench::storage {

inline constexpr std::uint16_t record_version = 2;

/// Bytes of a record of this version, and of one of version 1.
inline constexpr std::size_t record_size = 320;
inline constexpr std::size_t first_record_size = 256;
using Record = std::array<std::uint8_t, record_size>;

/// `number` counts what is written, so that the newest can be told.
Record encode(const Kept& kept, std::uint32_t number);

/// A record out of its bytes.
struct Decoded {
    Kept kept;
    std::uint32_t number = 0;
};

/// None when a byte is not as it was written, the version is not this one or a value makes no sense.
std::optional<Decoded> decode(std::span<const std::uint8_t> record);

/// The same of a record of version 1, with what that version did not have as on a new box.
std::optional<Decoded> decode_first(std::span<const std::uint8_t> record);

/// Whether this begins a whole record of a version that a newer firmware has written.
bool is_of_newer_version(std::span<const std::uint8_t> bytes);

/// Bytes beside a record that tell how far its writing has come.
enum class MarkKind : std::uint8_t {
    opening = 1,        ///< a slot that is being used from here on
    first_closing = 2,  ///< the record before it is whole
    last_closing = 3    ///< the first closing mark is whole too
};

inline constexpr std::size_t mark_size = 16;
using Mark = std::array<std::uint8_t, mark_size>;

/// The bytes of a mark behind or before the record with that number.
Mark encode_mark(MarkKind kind, std::uint32_t number);

/// The number in a mark of this kind; none when a byte is not as it was written.
std::optional<std::uint32_t> decode_mark(MarkKind kind, std::span<const std::uint8_t> bytes);

}  // namespace cornerbench::storage
