#include <catch2/catch.hpp>

#include <string>

#include "sim/files/toml_guard.h"
#include "sim/files/toml_text.h"
#include "tests/files/error_matchers.h"
#include "tests/files/scale_text.h"

using namespace cornerbench::files;
using namespace cornerbench::files::testing;

namespace {

std::string repeated(std::string_view piece, int count) {
    std::string out;
    for (int i = 0; i < count; ++i) out += piece;
    return out;
}

}  // namespace

TEST_CASE("Text that is no TOML is an error at its line") {
    const struct {
        const char* text;
        int line;
    } broken[] = {{"name = \"a\"\nmax = \n", 2},
                  {"name = \"a\"\nname = \"b\"\n", 2},
                  {"[deck]\nmass = 1\n[deck]\n", 3},
                  {"max = 99999999999999999999\n", 1},
                  {"max = 1e999\n", 1},
                  {"name = \"\xff\"\n", 1},
                  {"name = \"a\n", 1},
                  {"= 1\n", 1}};
    for (const auto& one : broken) {
        INFO(one.text);
        require_only(parse_scale(one.text, "x.toml"), {ErrorKind::syntax, one.line, "", "is not TOML"});
    }
}

TEST_CASE("Keys deeper than any of ours are refused before they become tables") {
    for (const std::string& deep :
         {"a" + repeated(".a", 300000) + " = 1\n", "[a" + repeated(".a", 300000) + "]\n",
          "x = { a" + repeated(" . \"a\"", 9) + " = 1 }\n",
          "x = [\"\"\"a\"\"\"\"\", { a" + repeated(".a", 9) + " = 1 }]\n",
          "x = ['''a'''', { a" + repeated(".a", 9) + " = 1 }]\n"}) {
        INFO(deep.substr(0, 60));
        require_only(parse_scale(deep, "x.toml"), {ErrorKind::syntax, 1, "", "parts joined by dots"});
    }
}

TEST_CASE("Dots that join no keys are left alone") {
    CHECK_FALSE(refused_by_guard("a.b.c.d.e.f.g.h = 1").has_value());
    CHECK_FALSE(refused_by_guard("x = \"a.b.c.d.e.f.g.h.i.j.k\" # a.b.c.d.e.f.g.h.i.j").has_value());
    CHECK_FALSE(refused_by_guard("x = 'a.b.c.d.e.f.g.h.i.j.k'").has_value());
    CHECK_FALSE(
        refused_by_guard("x = \"\"\"\na.b.c.d.e.f.g.h.i.j\n\\\"\"\" a.b.c.d.e.f.g.h.i.j\"\"\"").has_value());
    CHECK_FALSE(refused_by_guard("x = [1.5, 2.5, 3.5, 4.5, 5.5, 6.5, 7.5, 8.5, 9.5]").has_value());
    const auto refused = refused_by_guard("x = 1\n  a.b.c.d.e.f.g.h.i = 1");
    REQUIRE(refused.has_value());
    CHECK(refused->spot.line == 2);
}

TEST_CASE("Letters beyond ASCII stand in text and comments only") {
    // TOML 1.0.0: bare keys are of A-Z a-z 0-9 - _, and nothing else stands outside of strings and comments.
    const std::string valid = ScaleText::small().text();
    CHECK(
        parse_scale("\xef\xbb\xbf# Br\xc3\xbc"
                    "cke\n" +
                        valid,
                    "x.toml"));
    ScaleText named = ScaleText::small();
    CHECK(named
              .set("", "name",
                   "\"Br\xc3\xbc"
                   "cke\"")
              .load()
              .value->name ==
          "Br\xc3\xbc"
          "cke");
    CHECK(named
              .set("", "name",
                   "\"\"\"\\\n  Br\xc3\xbc"
                   "cke\"\"\"")
              .load()
              .value->name ==
          "Br\xc3\xbc"
          "cke");
    require_only(parse_scale("unit = \"kg\"\nname = Br\xc3\xbc"
                             "cke\n",
                             "x.toml"),
                 {ErrorKind::syntax, 2, "", "a letter beyond ASCII outside of quotes"});
    require_only(parse_scale("l\xc3\xa4nge = 5\n", "x.toml"),
                 {ErrorKind::syntax, 1, "", "a letter beyond ASCII outside of quotes"});
    require_only(parse_scale("name = \"\"\"\\\n \xc3\xbc\"\"\"\n", "x.toml"),
                 {ErrorKind::syntax, 1, "", "directly after a backslash"});
}

TEST_CASE("A quote inside a number begins no text") {
    // What follows such a quote is part of the number to the library, which must not meet the letter there.
    for (const char* text : {"max = 6\"Yard\xef\xbb\xb8x\"\n", "max = -_\"\"\"z\xef\xb9\xbf\"\"\"\n",
                             "max = 6=\"\xc3\xbc\"\n", "x = [1, 6=\"\xc3\xbc\"]\n"}) {
        INFO(text);
        require_only(parse_scale(text, "x.toml"), {ErrorKind::syntax, 1, "", "is not TOML"});
    }
}

TEST_CASE("An error stands in the column that the reader counts, letters beyond ASCII before it or not") {
    const auto loaded = parse_scale(
        "name = \"Br\xc3\xbc"
        "cke\" 5\n",
        "x.toml");
    REQUIRE(loaded.errors.size() == 1);
    CHECK(loaded.errors[0].spot.column == 17);
}

TEST_CASE("Lists and tables nested without end are refused") {
    // TOML 1.0.0 names no limit; the library stops at 256.
    CHECK_FALSE(parse_scale("a = " + repeated("[", 100000), "x.toml"));
    CHECK_FALSE(parse_scale("a = " + repeated("{a=", 100000), "x.toml"));
    CHECK_FALSE(parse_scale("a = " + repeated("{a.a.a.a.a.a.a=", 250) + "1" + repeated("}", 250), "x.toml"));
}

TEST_CASE("At most 1 MiB is read") {
    const std::string valid = ScaleText::small().text();
    const std::string fits = valid + "#" + std::string(largest_file_bytes - valid.size() - 1, ' ');
    REQUIRE(fits.size() == largest_file_bytes);
    CHECK(parse_scale(fits, "x.toml"));
    require_only(parse_scale(fits + " ", "x.toml"), {ErrorKind::unreadable, 0, "", "larger than 1 MiB"});
}

TEST_CASE("A file full of mistakes is told in full") {
    std::string text;
    for (int i = 0; i < 5000; ++i) text += "k" + std::to_string(i) + " = 1\n";
    const auto loaded = parse_scale(text, "x.toml");
    // 5000 unknown keys and the 10 keys without a default.
    CHECK(loaded.errors.size() == 5010);
}
