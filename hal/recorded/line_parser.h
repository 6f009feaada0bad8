#pragma once

#include <cstdint>
#include <span>
#include <string_view>

#include "hal/panel.h"

namespace cornerbench::hal {

/// Takes a line apart from its start. Every call answers whether the line had what was asked for; after a
/// false the line is malformed and nothing more may be asked.
class LineParser {
  public:
    explicit LineParser(std::string_view line) : rest_(line) {}

    bool at_end() const { return rest_.empty(); }

    /// Takes the next character; 0 at the end.
    char letter() {
        if (rest_.empty()) return 0;
        const char letter = rest_.front();
        rest_.remove_prefix(1);
        return letter;
    }

    /// Goes on past `text`, or stays where it is.
    bool skip(std::string_view text);

    /// As `LineText::number` writes them: no sign but -, no needless zero, within 64 bits.
    bool number(std::int64_t& number);

    /// A blank and a number.
    bool field(std::int64_t& number_out) { return skip(" ") && number(number_out); }

    /// A blank and a number from `least` to `most`.
    bool field(std::int64_t& number_out, std::int64_t least, std::int64_t most) {
        return field(number_out) && number_out >= least && number_out <= most;
    }

    /// As `LineText::quoted` writes them; `count` is how many. False too when they do not fit.
    bool quoted(std::span<std::uint8_t> bytes, std::size_t& count);

    /// As `LineText::quoted_words`; the rest of `words` becomes zero bytes.
    bool quoted_words(std::span<char> words);

    /// The three texts of a picture.
    bool picture(PanelPicture& picture);

  private:
    std::string_view rest_;
};

}  // namespace cornerbench::hal
