#pragma once

#include <string_view>
#include <vector>

namespace cornerbench::live {

/// What was pressed on a keyboard.
struct KeyStroke {
    /// Keys that are told apart.
    enum class Kind : unsigned char { character, enter, backspace, escape, up, down, left, right, other };
    Kind kind = Kind::other;
    char character = 0;  ///< printable ASCII, of Kind::character
};

/// From what a terminal sends to keys: the cursor's come as several bytes (ECMA-48, CSI A to D). What is not
/// known is `other`, and does nothing.
class KeyReader {
  public:
    std::vector<KeyStroke> read(std::string_view bytes);

  private:
    /// How much of an escape sequence has come.
    enum class State : unsigned char { plain, escaped, sequence };
    State state_ = State::plain;
};

}  // namespace cornerbench::live
