#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string_view>

#include "hal/panel.h"
#include "hal/recorded/call.h"

namespace cornerbench::hal {

inline constexpr std::int64_t recording_version = 1;
inline constexpr std::int64_t longest_run = 10'000;    ///< calls that one line may leave to expectation
inline constexpr std::size_t longest_line = 400;       ///< characters, without the line's end
inline constexpr std::size_t bytes_in_data_line = 64;  ///< at most

/// The seal at the end of each line, over this line and all before it. One changed character always breaks
/// its own line's; any other damage does with 93 chances in 94, and then every later line's with as many.
class LineSeal {
  public:
    /// The seal of the next line, in '!' to '~'.
    char next(std::string_view line);

  private:
    std::uint32_t before_ = 2'166'136'261u;
};

/// One line of a recording under construction; what does not fit is cut off.
class LineText {
  public:
    LineText& character(char character);
    LineText& text(std::string_view text);
    LineText& number(std::int64_t number);

    /// A blank and the number.
    LineText& field(std::int64_t number) { return character(' ').number(number); }

    /// In quotes; whatever is not plain ASCII as a backslash and three decimal digits.
    LineText& quoted(std::span<const std::uint8_t> bytes);

    /// In quotes, without the zero bytes at the end.
    LineText& quoted_words(std::span<const char> words);

    /// The call as a recording has it, without a payload: letter, given, answered.
    LineText& call(const Call& call);

    /// The three texts of a picture, each after a blank.
    LineText& picture(const PanelPicture& picture);

    std::string_view view() const { return {text_.data(), size_}; }
    void clear() { size_ = 0; }

  private:
    std::array<char, longest_line + 2> text_{};
    std::size_t size_ = 0;
};

}  // namespace cornerbench::hal
