#include <catch2/catch.hpp>

#include <cstdint>
#include <vector>

#include "sim/files/scale_keys.h"
#include "tests/files/scale_text.h"
#include "tests/world/yard.h"

using namespace cornerbench;

TEST_CASE("every key that counts only where time passes counts in the yard", "[world]") {
    // The marks of the scale file's keys; that the still commands leave them out is held elsewhere.
    using files::testing::ScaleText;
    const auto minutes = [](const ScaleText& text) {
        const auto loaded = text.load();
        REQUIRE(loaded);
        const scale::Description& d = loaded.value->description;
        world::Surroundings s = world::calm(d);
        s.day.swing_K = 10.0;
        s.day.start_h = 9.0;
        world::World yard(d, scale::sound_condition(d), 1, s);
        std::vector<std::int64_t> seen;
        const int weight = yard.put({0.2 * d.max_kg, d.deck.section_x_m[0] + 1.0, 0.5 * d.deck.width_m, 1.0});
        for (int n = 0; n < 60000; ++n) {
            if (n == 30000) yard.put({0.2 * d.max_kg, d.deck.section_x_m[0] + 1.0, 0.5, 1.0});
            if (n == 40000) yard.take_off(weight);
            const hal::Frame& frame = yard.step();
            if (n % 100 != 99) continue;
            seen.push_back(frame.code[0]);
            seen.push_back(frame.taken_us);
        }
        return seen;
    };
    const auto before = minutes(ScaleText::full());
    int marked = 0;
    for (const files::ScaleKey& key : files::scale_keys()) {
        if (!key.in_time_only) continue;
        INFO(key.table << " " << key.name);
        ++marked;
        const bool whole = key.kind == files::KeyKind::integer;
        CHECK(minutes(ScaleText::full().set(key.table, key.name, whole ? "12" : "2.5")) != before);
    }
    CHECK(marked == 7);
}
