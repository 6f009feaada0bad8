#include "sim/files/file_error.h"

#include <cstddef>
#include <string_view>

namespace cornerbench::files {

namespace {

void append_escaped(std::string& out, unsigned char byte) {
    constexpr std::string_view hex = "0123456789abcdef";
    out += "\\x";
    out += hex[static_cast<std::size_t>(byte >> 4)];
    out += hex[static_cast<std::size_t>(byte & 15)];
}

/// Text for a terminal: control characters escaped, so that a file cannot move the reader's cursor.
std::string printable(std::string_view text) {
    std::string out;
    unsigned char before = 0;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        // U+0080 to U+009F are control characters too: 0xc2 and one of these bytes in UTF-8.
        const bool high_control = before == 0xc2 && byte >= 0x80 && byte < 0xa0;
        before = byte;
        if (high_control) {
            out.pop_back();
            append_escaped(out, byte);
        } else if (c == '\n') {
            out += "\\n";
        } else if (c == '\t') {
            out += "\\t";
        } else if (byte < 0x20 || byte == 0x7f) {
            append_escaped(out, byte);
        } else {
            out += c;
        }
    }
    return out;
}

}  // namespace

std::string to_string(const FileError& error) {
    std::string out = printable(error.file);
    if (error.spot.line > 0) out += ":" + std::to_string(error.spot.line);
    if (error.spot.line > 0 && error.spot.column > 0) out += ":" + std::to_string(error.spot.column);
    out += ": ";
    if (!error.spot.key.empty()) {
        out += printable(error.spot.key);
        if (!error.spot.given.empty()) out += " = " + printable(error.spot.given);
        out += ": ";
    }
    out += printable(error.message);
    return out;
}

std::string to_string(const std::vector<FileError>& errors) {
    std::string out;
    for (const FileError& error : errors) out += to_string(error) + "\n";
    return out;
}

}  // namespace cornerbench::files
