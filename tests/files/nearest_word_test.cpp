#include <catch2/catch.hpp>

#include <string>

#include "sim/files/nearest_word.h"

using cornerbench::files::edit_distance;
using cornerbench::files::nearest_or_all;
using cornerbench::files::nearest_word;

TEST_CASE("Edit distances are the textbook's") {
    // Jurafsky and Martin, Speech and Language Processing, chapter 2, with unit costs (from memory).
    CHECK(edit_distance("intention", "execution") == 5);
    // Levenshtein's standard example (from memory).
    CHECK(edit_distance("kitten", "sitting") == 3);
    // The pair that tells the restricted form (3) from the unrestricted one (2) (from memory).
    CHECK(edit_distance("ca", "abc") == 3);
}

TEST_CASE("Edit distance counts each slip of the fingers once") {
    CHECK(edit_distance("width_m", "width_m") == 0);
    CHECK(edit_distance("widht_m", "width_m") == 1);
    CHECK(edit_distance("wdth_m", "width_m") == 1);
    CHECK(edit_distance("widdth_m", "width_m") == 1);
    CHECK(edit_distance("wigth_m", "width_m") == 1);
    CHECK(edit_distance("", "abc") == 3);
    CHECK(edit_distance("abc", "") == 3);
}

TEST_CASE("The nearest word wins, the first of equals") {
    CHECK(nearest_word("widht_m", {"mass", "width_m", "overhang_m"}) == "width_m");
    CHECK(nearest_word("b", {"a", "c"}) == "a");
    CHECK(nearest_word("a", {}).empty());
}

TEST_CASE("A nearest word must be near") {
    CHECK(nearest_word("name", {"scale", "zeroed", "history", "instruments", "reading"}).empty());
    CHECK(nearest_word("foo", {"healthy", "causes"}).empty());
    CHECK(nearest_word("supports", {"mass", "over", "section", "at"}).empty());
    CHECK(nearest_word("zzzzz", {"keys", "trim", "trial"}).empty());
    // One slip in a short word, several in a long one, and words broken off.
    CHECK(nearest_word("ta", {"mass", "at"}) == "at");
    CHECK(nearest_word("excitation_serial", {"none", "excitation-series", "signal-shunt"}) ==
          "excitation-series");
    CHECK(nearest_word("value", {"load", "value_mV"}) == "value_mV");
    CHECK(nearest_word("capacity_kg", {"number", "capacity"}) == "capacity");
}

TEST_CASE("A word that nothing is near is answered with all there are") {
    CHECK(nearest_or_all("rubing", {"healthy", "rubbing"}) == "nearest: rubbing");
    CHECK(nearest_or_all("foo", {"healthy", "rubbing"}) == "one of: healthy, rubbing");
}

TEST_CASE("A word of a megabyte is compared at once") {
    const std::string endless(1 << 20, 'x');
    CHECK(nearest_word(endless, {"mass", "width_m"}).empty());
    CHECK(edit_distance(endless, "xx") < 100);
}
