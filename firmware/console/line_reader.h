#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "firmware/console/error_queue.h"

/// From bytes to lines.
namespace cornerbench::console {

/// Most characters of a line, its end not counted.
inline constexpr std::size_t line_limit = 255;

/// Lines end with LF or CR LF. A line that is too long, or holds a byte that is neither printable ASCII nor a
/// tab, is one error and is dropped to its end, so that the next one is read as if nothing had happened.
class LineReader {
  public:
    /// Whether there is something to be taken.
    enum class State : std::uint8_t {
        reading,
        line,  ///< `line()` holds one; nothing more is taken until `next()`
        bad    ///< `error()` says why; nothing more is taken until `next()`
    };

    /// Takes one byte. Not to be called but in `reading`.
    void take(std::uint8_t byte);

    State state() const { return state_; }
    std::string_view line() const { return {line_.data(), length_}; }
    Error error() const { return error_; }
    /// Goes on to the next line.
    void next();
    /// The line that is being read, or is to be read next, becomes a bad one: something was lost on its way.
    void spoil(Error error);

  private:
    std::array<char, line_limit> line_{};
    std::size_t length_ = 0;
    bool carriage_returned_ = false;
    State state_ = State::reading;
    Error error_ = Error::none;
    Error error_of_next_ = Error::none;
};

}  // namespace cornerbench::console
