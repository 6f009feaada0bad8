#pragma once

#include <string>
#include <string_view>
#include <vector>

#include <catch2/catch.hpp>

#include "sim/files/file_error.h"

/// Looking for one error among all that a file has.
namespace cornerbench::files::testing {

/// What an error must be: kind, line, the end of its key, and words of its message.
struct Expected {
    ErrorKind kind = ErrorKind::impossible;
    int line = 0;
    std::string key;
    std::string words;
};

inline bool matches(const FileError& error, const Expected& expected) {
    return error.kind == expected.kind && error.spot.line == expected.line &&
           std::string_view(error.spot.key).ends_with(expected.key) &&
           error.message.find(expected.words) != std::string::npos;
}

inline int count_of(const std::vector<FileError>& errors, const Expected& expected) {
    int count = 0;
    for (const FileError& error : errors) count += matches(error, expected) ? 1 : 0;
    return count;
}

/// Requires that `loaded` failed with exactly this error.
template <class Value>
void require_only(const Loaded<Value>& loaded, const Expected& expected) {
    INFO("expected line " << expected.line << ", key " << expected.key << ", words: " << expected.words);
    INFO("errors:\n" << to_string(loaded.errors));
    REQUIRE_FALSE(loaded.value.has_value());
    REQUIRE(loaded.errors.size() == 1);
    REQUIRE(count_of(loaded.errors, expected) == 1);
}

/// Requires that `loaded` failed with this error among others.
template <class Value>
void require_among(const Loaded<Value>& loaded, const Expected& expected) {
    INFO("expected line " << expected.line << ", key " << expected.key << ", words: " << expected.words);
    INFO("errors:\n" << to_string(loaded.errors));
    REQUIRE_FALSE(loaded.value.has_value());
    REQUIRE(count_of(loaded.errors, expected) == 1);
}

/// Requires that `loaded` succeeded with exactly this warning.
template <class Value>
void require_warning(const Loaded<Value>& loaded, int line, const std::string& key,
                     const std::string& words) {
    INFO("errors:\n" << to_string(loaded.errors) << "warnings:\n" << to_string(loaded.warnings));
    REQUIRE(loaded.value.has_value());
    REQUIRE(loaded.warnings.size() == 1);
    REQUIRE(count_of(loaded.warnings, {ErrorKind::impossible, line, key, words}) == 1);
}

}  // namespace cornerbench::files::testing
