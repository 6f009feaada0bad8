#pragma once

#include <optional>
#include <string>
#include <vector>

/// What is wrong with a file, and where, in words that say what would be right.
namespace cornerbench::files {

/// What kind of thing is wrong; the message says the rest.
enum class ErrorKind : unsigned char {
    unreadable,    ///< the host cannot give us the file's text: missing, a folder, too large
    syntax,        ///< not TOML
    unknown_key,   ///< a key that this place does not have
    missing_key,   ///< a key that has no default
    wrong_type,    ///< text where a number belongs, and the like
    out_of_range,  ///< a number, word or size outside what is valid
    impossible     ///< keys that contradict each other or the scale
};

/// A place in a file and what stands there. Line and column count from 1; 0 is the file as a whole.
struct Spot {
    int line = 0;
    int column = 0;
    std::string key;    ///< with its table, such as "[deck] width_m"; may be empty
    std::string given;  ///< what stands there, as text; may be empty

    friend bool operator==(const Spot&, const Spot&) = default;
};

/// One thing wrong with a file, or worth a warning.
struct FileError {
    ErrorKind kind = ErrorKind::impossible;
    std::string file;
    Spot spot;
    std::string message;  ///< what would be valid, or why this cannot be

    friend bool operator==(const FileError&, const FileError&) = default;
};

/// One line without its end: `configs/x.toml:12:5: [deck] width_m = -2.6: must be ...`. Control characters of
/// the file are shown escaped.
std::string to_string(const FileError& error);

/// All of them, a line each.
std::string to_string(const std::vector<FileError>& errors);

/// What a loader returns: a value exactly when there are no errors. Warnings come with either.
template <class Value>
struct Loaded {
    std::optional<Value> value;
    std::vector<FileError> errors;
    std::vector<FileError> warnings;

    explicit operator bool() const { return value.has_value(); }

    /// True when nothing is wrong but that the host refused the text of some file: a host error, not a
    /// statement of any file.
    bool unreadable() const {
        for (const FileError& error : errors) {
            if (error.kind != ErrorKind::unreadable) return false;
        }
        return !errors.empty();
    }
};

}  // namespace cornerbench::files
