#include <catch2/catch.hpp>

#include <vector>

#include "sim/files/file_error.h"

using namespace cornerbench::files;

TEST_CASE("An error names file, line, column, key, what was given and what would be valid") {
    const FileError error{ErrorKind::out_of_range,
                          "configs/x.toml",
                          {12, 5, "[deck] width_m", "-2.6"},
                          "must be at least 0.1 and at most 12 (m)"};
    CHECK(to_string(error) ==
          "configs/x.toml:12:5: [deck] width_m = -2.6: must be at least 0.1 and at most 12 (m)");
}

TEST_CASE("What an error does not know it leaves out") {
    CHECK(to_string(FileError{ErrorKind::unreadable, "x.toml", {}, "cannot be read"}) ==
          "x.toml: cannot be read");
    CHECK(to_string(FileError{ErrorKind::syntax, "x.toml", {3, 9, "", ""}, "is not TOML"}) ==
          "x.toml:3:9: is not TOML");
    CHECK(to_string(FileError{ErrorKind::missing_key, "x.toml", {2, 1, "[deck] width_m", ""}, "missing"}) ==
          "x.toml:2:1: [deck] width_m: missing");
}

TEST_CASE("Errors stand one to a line") {
    const FileError error{ErrorKind::syntax, "x.toml", {}, "a"};
    CHECK(to_string(std::vector<FileError>{error, error}) == "x.toml: a\nx.toml: a\n");
}

TEST_CASE("A file cannot move the reader's cursor") {
    const FileError error{ErrorKind::out_of_range,
                          "x\x1b.toml",
                          {1, 1, "a\nb", "\"\x1b[2J\t\x7f\xc2\x9b 2J\xc3\xa4\""},
                          "no\rgood"};
    // U+009B begins a control sequence by itself (ECMA-48, 5.3); U+00E4 is a letter and stays.
    CHECK(to_string(error) == "x\\x1b.toml:1:1: a\\nb = \"\\x1b[2J\\t\\x7f\\x9b 2J\xc3\xa4\": no\\x0dgood");
}

TEST_CASE("A file is unreadable while nothing is wrong but what the host withholds") {
    Loaded<int> loaded;
    CHECK_FALSE(loaded.unreadable());
    loaded.errors.push_back({ErrorKind::unreadable, "x.toml", {}, ""});
    CHECK(loaded.unreadable());
    loaded.errors.push_back({ErrorKind::out_of_range, "y.toml", {}, ""});
    CHECK_FALSE(loaded.unreadable());
}
