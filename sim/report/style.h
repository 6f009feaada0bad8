#pragma once

#include <string>
#include <string_view>

/// Colour on terminals that take it. A colour never says what the words beside it do not.
namespace cornerbench::report {

/// What a text is meant to say by its colour.
enum class Tone : unsigned char { plain, strong, faint, good, bad, caution };

/// Colours a text, or leaves it as it is.
struct Style {
    bool colour = false;

    /// `text`, between the escape sequences of `tone` (ECMA-48, SGR) when colours are on.
    std::string operator()(Tone tone, std::string_view text) const {
        if (!colour || tone == Tone::plain) return std::string(text);
        return std::string(start_of(tone)) + std::string(text) + "\x1b[0m";
    }

  private:
    static constexpr std::string_view start_of(Tone tone) {
        switch (tone) {
            case Tone::strong:
                return "\x1b[1m";
            case Tone::faint:
                return "\x1b[2m";
            case Tone::good:
                return "\x1b[32m";
            case Tone::bad:
                return "\x1b[1;31m";
            case Tone::caution:
                return "\x1b[33m";
            default:
                return "";
        }
    }
};

}  // namespace cornerbench::report
