#include "tests/diagnosis/corner_cases.h"

#include <catch2/catch.hpp>

using namespace cornerbench;
using namespace cornerbench::diagnosis;
using namespace cornerbench::oracle;
using Kind = CornerFindingKind;
using scale::SiteKind;

TEST_CASE("channels tell reversed, dead and exchanged ones by themselves", "[corner check]") {
    CornerScale scale = vehicle_scale(3);
    scale.channel_kg = 1.0;
    scale.channel_gain = 6.0e-4;
    const CornerReadings no_sum(6, Zeroed::now);
    const auto matrix = [&](const std::function<double(int, int)>& share) {
        ChannelReadings channels(6);
        for (int c = 0; c < 6; ++c) REQUIRE(channels.add_empty(c, 2000.0 + 10.0 * c) == CornerError::none);
        for (int i = 0; i < 6; ++i) {
            for (int c = 0; c < 6; ++c) {
                REQUIRE(channels.add_loaded(i, mass_kg, c, 2000.0 + 10.0 * c + mass_kg * share(i, c)) ==
                        CornerError::none);
            }
        }
        return judge(scale, no_sum, &channels);
    };
    CHECK(matrix([](int i, int c) { return i == c ? 1.0 : 0.0; }).verdict == CornerVerdict::alike);

    const CornerReport reversed = matrix([](int i, int c) { return i != c ? 0.0 : c == 3 ? -1.0 : 1.0; });
    REQUIRE(reversed.count == 1);
    CHECK(found(reversed, 3, {Kind::reversed_cell}) != nullptr);

    const CornerReport dead = matrix([](int i, int c) { return i == c && c != 5 ? 1.0 : 0.0; });
    REQUIRE(dead.count == 1);
    CHECK(found(dead, 5, {Kind::dead_cell}) != nullptr);

    const CornerReport past = matrix([](int i, int c) { return i != c ? 0.0 : c == 1 ? 0.7 : 1.0; });
    REQUIRE(past.count == 1);
    const CornerFinding* low = found(past, 1, {Kind::carries_too_little});
    REQUIRE(low != nullptr);
    CHECK(low->size.value == Approx(0.3).margin(2e-3));

    const CornerReport exchanged = matrix([](int i, int c) {
        const int real = c == 0 ? 4 : c == 4 ? 0 : c;
        return i == real ? 1.0 : 0.0;
    });
    REQUIRE(exchanged.count == 1);
    CHECK(exchanged.findings[0].kind == Kind::exchanged_channels);
    CHECK(exchanged.findings[0].place == scale::Site{SiteKind::cell_pair, 0, 4});
    CHECK(exchanged.findings[0].size.value == Approx(1.0).margin(0.02));
}

TEST_CASE("two silent channels are dead or exchanged as the sum says", "[corner check]") {
    // Each channel was read under its own corner alone, as a sheet has it.
    CornerScale scale = vehicle_scale(3);
    scale.channel_kg = 1.0;
    scale.channel_gain = 6.0e-4;
    ChannelReadings channels(6);
    for (int c = 0; c < 6; ++c) {
        REQUIRE(channels.add_empty(c, 0.0) == CornerError::none);
        REQUIRE(channels.add_loaded(c, mass_kg, c, c == 1 || c == 3 ? 0.0 : mass_kg) == CornerError::none);
    }
    const CornerReport whole = judge(scale, round_of(scale, [](int) { return 1.0; }), &channels);
    REQUIRE(whole.count == 1);
    CHECK(whole.findings[0].kind == Kind::exchanged_channels);
    CHECK(whole.findings[0].place == scale::Site{SiteKind::cell_pair, 1, 3});

    const CornerReport lacking =
        judge(scale, round_of(scale, [](int i) { return i == 1 || i == 3 ? 0.0 : 1.0; }), &channels);
    CHECK(lacking.count == 2);
    CHECK(found(lacking, 1, {Kind::dead_cell}) != nullptr);
    CHECK(found(lacking, 3, {Kind::dead_cell}) != nullptr);
}
