#include "firmware/storage/audit.h"

#include <catch2/catch.hpp>
#include <limits>

#include "tests/random_scale.h"

using namespace cornerbench;
using storage::Kept;

namespace {

constexpr std::uint32_t full = std::numeric_limits<std::uint32_t>::max();

Kept drawn(tests::Draw& draw) {
    Kept kept = storage::factory_kept();
    kept.calibrated = draw.chance(0.7);
    kept.calibration = {1.0e-4 * draw.integer(0, 1), 6.0e7 + draw.integer(0, 1), 1.0 * draw.integer(0, 1)};
    kept.corner_gain[static_cast<std::size_t>(draw.integer(0, 15))] = 1.0 + 0.01 * draw.integer(0, 1);
    kept.zero_offset_kg = draw.around_zero();
    kept.unit = draw.one_of({scale::MassUnit::kilogram, scale::MassUnit::pound});
    kept.calibration_changes = draw.one_of({0u, 1u, 2u, full - 1, full});
    kept.configuration_changes = draw.one_of({0u, 1u, 2u, full - 1, full});
    return kept;
}

}  // namespace

TEST_CASE("nothing that is counted changes without its counter, and no counter falls", "[storage]") {
    tests::Draw draw(11);
    int allowed = 0;
    for (int i = 0; i < 20'000; ++i) {
        const Kept now = drawn(draw);
        Kept next = draw.chance(0.3) ? now : drawn(draw);
        if (draw.chance(0.5)) next.calibration_changes = storage::counted(now.calibration_changes);
        if (draw.chance(0.5)) next.configuration_changes = storage::counted(now.configuration_changes);
        if (!may_follow(now, next)) continue;
        ++allowed;
        REQUIRE(next.calibration_changes >= now.calibration_changes);
        REQUIRE(next.configuration_changes >= now.configuration_changes);
        if (!same_under_seal(now, next))
            REQUIRE((next.calibration_changes > now.calibration_changes || now.calibration_changes == full));
        if (now.unit != next.unit)
            REQUIRE((next.configuration_changes > now.configuration_changes ||
                     now.configuration_changes == full));
    }
    CHECK(allowed > 1'000);
}

TEST_CASE("a counter that is full does not begin anew", "[storage]") {
    CHECK(storage::counted(0) == 1);
    CHECK(storage::counted(full - 1) == full);
    CHECK(storage::counted(full) == full);
}

TEST_CASE("a change that its counter counts, or of what is not counted, is allowed", "[storage]") {
    Kept now = storage::factory_kept();
    Kept next = now;
    next.zero_offset_kg = 3.0;
    next.last_reading.known = true;
    CHECK(may_follow(now, next));
    next.corner_gain[15] = 1.01;
    CHECK_FALSE(may_follow(now, next));
    next.calibration_changes = 1;
    CHECK(may_follow(now, next));
    next.unit = scale::MassUnit::tonne;
    CHECK_FALSE(may_follow(now, next));
    next.configuration_changes = 1;
    CHECK(may_follow(now, next));
}
