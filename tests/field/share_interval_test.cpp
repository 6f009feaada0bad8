#include "sim/field/share_interval.h"

#include <catch2/catch.hpp>

using cornerbench::field::share_interval;

TEST_CASE("score intervals are those of the literature", "[field]") {
    // R. G. Newcombe, "Two-sided confidence intervals for the single proportion: comparison of seven
    // methods", Statistics in Medicine 17 (1998) 857-872, table I, method 3 (from memory).
    const struct {
        int part;
        int whole;
        double low;
        double high;
    } rows[] = {
        {81, 263, 0.2553, 0.3662}, {15, 148, 0.0624, 0.1605}, {0, 20, 0.0, 0.1611}, {1, 29, 0.0061, 0.1718}};
    for (const auto& row : rows) {
        INFO(row.part << " of " << row.whole);
        CHECK(share_interval(row.part, row.whole).low == Approx(row.low).margin(5.0e-5));
        CHECK(share_interval(row.part, row.whole).high == Approx(row.high).margin(5.0e-5));
    }
}

TEST_CASE("a share and what is left of it have mirrored intervals", "[field]") {
    CHECK(share_interval(20, 20).high == 1.0);
    CHECK(share_interval(20, 20).low == Approx(1.0 - share_interval(0, 20).high));
    CHECK(share_interval(7, 50).low == Approx(1.0 - share_interval(43, 50).high));
    CHECK(share_interval(0, 0).low == 0.0);
    CHECK(share_interval(0, 0).high == 1.0);
}
