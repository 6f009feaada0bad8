#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>

namespace cornerbench::hal {

inline constexpr std::size_t longest_note_name = 24;

/// Takes what a recording carries beside the calls: the scale's file, who made it.
class NoteReader {
  public:
    /// The next part of the note called `name`; a note comes in parts, in order. Each begins
    /// with a part without bytes, and no other part has none.
    virtual void note(std::string_view name, std::span<const std::uint8_t> bytes) = 0;

  protected:
    ~NoteReader() = default;
};

}  // namespace cornerbench::hal
