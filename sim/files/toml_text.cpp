#include "sim/files/toml_text.h"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <memory>
#include <system_error>

#include "sim/files/toml_guard.h"

namespace cornerbench::files {

namespace {

std::string too_large(std::size_t most_bytes) {
    return "is larger than " + std::to_string(most_bytes / (1024 * 1024)) +
           " MiB, the most that is read of such a file";
}

/// `text` with every letter beyond ASCII replaced by '_', so that it is the same TOML, or none, with every
/// place in its column. A byte order mark is dropped.
std::string ascii_skeleton(std::string_view text) {
    constexpr std::string_view byte_order_mark = "\xef\xbb\xbf";
    if (text.starts_with(byte_order_mark)) text.remove_prefix(byte_order_mark.size());
    std::string out;
    out.reserve(text.size());
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        const bool continues_letter = (byte & 0xc0) == 0x80;
        if (byte < 0x80) {
            out += c;
        } else if (!continues_letter) {
            out += '_';
        }
    }
    return out;
}

std::optional<toml::table> parsed(std::string_view text, Findings& findings) {
    try {
        return toml::parse(text);
    } catch (const toml::parse_error& error) {
        Spot spot;
        spot.line = static_cast<int>(error.source().begin.line);
        spot.column = static_cast<int>(error.source().begin.column);
        findings.error(ErrorKind::syntax, spot, "is not TOML: " + std::string(error.description()));
        return std::nullopt;
    }
}

void refuse(Findings& findings, const std::string& why) {
    findings.error(ErrorKind::unreadable, {}, why);
}

}  // namespace

std::optional<std::string> read_text(const std::string& path, Findings& findings, std::size_t most_bytes) {
    std::error_code status_error;
    if (std::filesystem::is_directory(path, status_error)) {
        refuse(findings, "cannot be read: is a folder, not a file");
        return std::nullopt;
    }
    errno = 0;
    const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "rb"), &std::fclose);
    if (!file) {
        refuse(findings, std::string("cannot be read: ") + std::strerror(errno));
        return std::nullopt;
    }
    std::string text(most_bytes + 1, '\0');
    text.resize(std::fread(text.data(), 1, text.size(), file.get()));
    if (std::ferror(file.get()) != 0) {
        refuse(findings, std::string("cannot be read: ") + std::strerror(errno));
        return std::nullopt;
    }
    if (text.size() > most_bytes) {
        refuse(findings, too_large(most_bytes));
        return std::nullopt;
    }
    return text;
}

std::optional<toml::table> parse_text(std::string_view text, Findings& findings) {
    if (text.size() > largest_file_bytes) {
        refuse(findings, too_large(largest_file_bytes));
        return std::nullopt;
    }
    if (const auto refused = refused_by_guard(text)) {
        findings.error(ErrorKind::syntax, refused->spot, "is not TOML that is read here: " + refused->why);
        return std::nullopt;
    }
    // Quotes are where the guard saw them only if the text is TOML. So its skeleton goes first: text that is
    // no TOML never shows the library a letter beyond ASCII.
    const std::string skeleton = ascii_skeleton(text);
    if (skeleton != text && !parsed(skeleton, findings)) return std::nullopt;
    return parsed(text, findings);
}

}  // namespace cornerbench::files
