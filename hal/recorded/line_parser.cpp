#include "hal/recorded/line_parser.h"

#include <array>
#include <limits>

namespace cornerbench::hal {

bool LineParser::skip(std::string_view text) {
    if (!rest_.starts_with(text)) return false;
    rest_.remove_prefix(text.size());
    return true;
}

bool LineParser::number(std::int64_t& number) {
    const bool negative = skip("-");
    std::uint64_t value = 0;
    std::size_t digits = 0;
    bool leading_zero = false;
    while (!rest_.empty() && rest_[0] >= '0' && rest_[0] <= '9') {
        // Nineteen digits fit into 64 bits whatever they are.
        if (++digits > 19) return false;
        leading_zero = leading_zero || (digits == 1 && rest_[0] == '0');
        value = value * 10u + static_cast<std::uint64_t>(rest_[0] - '0');
        rest_.remove_prefix(1);
    }
    if (digits == 0 || (leading_zero && (digits > 1 || negative))) return false;
    constexpr auto most = static_cast<std::uint64_t>(std::numeric_limits<std::int64_t>::max());
    if (value > most + (negative ? 1u : 0u)) return false;
    number = static_cast<std::int64_t>(negative ? 0u - value : value);
    return true;
}

bool LineParser::quoted(std::span<std::uint8_t> bytes, std::size_t& count) {
    count = 0;
    if (!skip("\"")) return false;
    while (!skip("\"")) {
        if (rest_.empty() || count == bytes.size()) return false;
        if (!skip("\\")) {
            bytes[count++] = static_cast<std::uint8_t>(rest_[0]);
            rest_.remove_prefix(1);
            continue;
        }
        int value = 0;
        for (int digit = 0; digit < 3; ++digit) {
            if (rest_.empty() || rest_[0] < '0' || rest_[0] > '9') return false;
            value = value * 10 + (rest_[0] - '0');
            rest_.remove_prefix(1);
        }
        if (value > 255) return false;
        bytes[count++] = static_cast<std::uint8_t>(value);
    }
    return true;
}

bool LineParser::quoted_words(std::span<char> words) {
    std::array<std::uint8_t, panel_words> bytes{};
    std::size_t count = 0;
    if (words.size() > bytes.size() || !quoted(std::span(bytes).first(words.size()), count)) return false;
    for (std::size_t i = 0; i < words.size(); ++i) words[i] = i < count ? static_cast<char>(bytes[i]) : '\0';
    return true;
}

bool LineParser::picture(PanelPicture& picture) {
    return skip(" ") && quoted_words(picture.digits) && skip(" ") && quoted_words(picture.words) &&
           skip(" ") && quoted_words(picture.unit);
}

}  // namespace cornerbench::hal
