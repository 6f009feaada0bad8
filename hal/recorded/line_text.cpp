#include "hal/recorded/line_text.h"

namespace cornerbench::hal {

char LineSeal::next(std::string_view line) {
    // Every weight has no factor with 94 and two characters of ' ' to '}' differ by less than that, so a
    // single change cannot cancel. What goes on to the next line is the 32-bit hash of Fowler, Noll and Vo.
    std::uint32_t sum = before_ % 94u;
    std::uint32_t hash = before_;
    std::uint32_t place = 0;
    for (const char character : line) {
        const auto byte = static_cast<unsigned char>(character);
        sum = (sum + (2u * (place % 20u) + 1u) * (byte - 0x20u + 188u)) % 94u;
        hash = (hash ^ byte) * 16'777'619u;
        ++place;
    }
    before_ = hash;
    return static_cast<char>('!' + sum);
}

LineText& LineText::character(char character) {
    if (size_ < text_.size()) text_[size_++] = character;
    return *this;
}

LineText& LineText::text(std::string_view text) {
    for (const char each : text) character(each);
    return *this;
}

LineText& LineText::number(std::int64_t number) {
    auto rest = static_cast<std::uint64_t>(number);
    if (number < 0) {
        character('-');
        rest = 0u - rest;
    }
    std::array<char, 20> digits{};
    std::size_t count = 0;
    do {
        digits[count++] = static_cast<char>('0' + rest % 10u);
        rest /= 10u;
    } while (rest > 0);
    while (count > 0) character(digits[--count]);
    return *this;
}

LineText& LineText::quoted(std::span<const std::uint8_t> bytes) {
    character('"');
    for (const std::uint8_t byte : bytes) {
        if (byte >= 0x20 && byte <= 0x7D && byte != '"' && byte != '\\') {
            character(static_cast<char>(byte));
        } else {
            character('\\');
            character(static_cast<char>('0' + byte / 100));
            character(static_cast<char>('0' + byte / 10 % 10));
            character(static_cast<char>('0' + byte % 10));
        }
    }
    return character('"');
}

LineText& LineText::quoted_words(std::span<const char> words) {
    std::array<std::uint8_t, panel_words> bytes{};
    std::size_t size = 0;
    for (std::size_t i = 0; i < words.size() && i < bytes.size(); ++i) {
        bytes[i] = static_cast<std::uint8_t>(words[i]);
        if (bytes[i] != 0) size = i + 1;
    }
    return quoted(std::span(bytes).first(size));
}

LineText& LineText::call(const Call& call) {
    character(call.letter);
    const CallKind* kind = kind_of(call.letter);
    if (kind == nullptr) return *this;
    for (std::size_t i = 0; i < kind->given; ++i) field(call.given[i]);
    for (std::size_t i = 0; i < kind->answered; ++i) field(call.answered[i]);
    return *this;
}

LineText& LineText::picture(const PanelPicture& picture) {
    character(' ').quoted_words(picture.digits);
    character(' ').quoted_words(picture.words);
    return character(' ').quoted_words(picture.unit);
}

}  // namespace cornerbench::hal
