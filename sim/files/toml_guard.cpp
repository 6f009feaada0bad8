#include "sim/files/toml_guard.h"

#include <cstddef>

namespace cornerbench::files {

namespace {

constexpr std::string_view byte_order_mark = "\xef\xbb\xbf";

bool is_beyond_ascii(char c) {
    return static_cast<unsigned char>(c) >= 0x80;
}

bool is_blank(char c) {
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

bool is_bare_key(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
           c == '-' || c == '+';
}

class Guard {
  public:
    explicit Guard(std::string_view text) : text_(text) {}

    std::optional<Refusal> run();

  private:
    char here() const { return text_[at_]; }
    bool done() const { return at_ >= text_.size(); }
    void step();
    void skip_comment();
    /// Skips the quoted text that begins here; false where the library would stumble in it.
    bool skip_quoted();
    bool stumbles_after_backslash() const;
    Refusal refusal(const std::string& why) const;

    std::string_view text_;
    std::size_t at_ = 0;
    std::size_t line_start_ = 0;
    int line_ = 1;
};

void Guard::step() {
    if (here() == '\n') {
        ++line_;
        line_start_ = at_ + 1;
    }
    ++at_;
}

void Guard::skip_comment() {
    while (!done() && here() != '\n') step();
}

bool Guard::stumbles_after_backslash() const {
    std::size_t i = at_ + 1;
    while (i < text_.size() && is_blank(text_[i])) ++i;
    return i < text_.size() && is_beyond_ascii(text_[i]);
}

bool Guard::skip_quoted() {
    const char quote = here();
    const std::string_view closing = quote == '"' ? "\"\"\"" : "'''";
    const bool is_long = text_.substr(at_, 3) == closing;
    const bool escapes = quote == '"';
    for (int i = 0; i < (is_long ? 3 : 1); ++i) step();
    while (!done()) {
        if (escapes && here() == '\\') {
            if (stumbles_after_backslash()) return false;
            step();
            if (!done()) step();
        } else if (is_long && text_.substr(at_, 3) == closing) {
            // Up to two quotes may stand directly before the closing three.
            for (int i = 0; i < 5 && !done() && here() == quote; ++i) step();
            return true;
        } else if (!is_long && here() == quote) {
            step();
            return true;
        } else if (!is_long && here() == '\n') {
            return true;
        } else {
            step();
        }
    }
    return true;
}

Refusal Guard::refusal(const std::string& why) const {
    return {{line_, static_cast<int>(at_ - line_start_) + 1, "", ""}, why};
}

std::optional<Refusal> Guard::run() {
    if (text_.starts_with(byte_order_mark)) at_ = byte_order_mark.size();
    int dots = 0;
    while (!done()) {
        const char c = here();
        if (c == '"' || c == '\'') {
            if (!skip_quoted()) return refusal("a letter beyond ASCII directly after a backslash");
            continue;
        }
        if (c == '#') {
            skip_comment();
            continue;
        }
        if (is_beyond_ascii(c)) return refusal("a letter beyond ASCII outside of quotes");
        if (c == '.') {
            if (++dots >= most_key_parts) {
                return refusal("a key of more than " + std::to_string(most_key_parts) +
                               " parts joined by dots");
            }
        } else if (!is_bare_key(c) && c != ' ' && c != '\t') {
            dots = 0;
        }
        step();
    }
    return std::nullopt;
}

}  // namespace

std::optional<Refusal> refused_by_guard(std::string_view text) {
    return Guard(text).run();
}

}  // namespace cornerbench::files
