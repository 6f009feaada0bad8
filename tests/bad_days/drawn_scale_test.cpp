#include "sim/bad_days/drawn_scale.h"

#include <catch2/catch.hpp>
#include <set>

#include "firmware/storage/crc32c.h"
#include "sim/bad_days/campaign.h"
#include "sim/bad_days/campaign_file.h"

using namespace cornerbench;
using namespace cornerbench::bad_days;

namespace {

std::vector<DayScale> drawn(std::uint64_t count) {
    std::vector<DayScale> scales;
    for (std::uint64_t seed = 1; seed <= count; ++seed) {
        auto scale = drawn_scale(seed);
        INFO(drawn_scale_text(seed));
        REQUIRE(scale);
        scales.push_back(std::move(*scale));
    }
    return scales;
}

std::uint32_t checksum_of(const std::string& text) {
    return storage::crc32c({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

void require_none_wrong(const Tally& tally) {
    for (const WrongDay& day : tally.wrong_days) UNSCOPED_INFO("--case " << day.day << ": " << day.what);
    CHECK(tally.wrong == 0);
    for (const auto& [what, one] : tally.excused) {
        INFO(what << " on " << one.day);
        CHECK(one.beyond == 0);
    }
}

}  // namespace

TEST_CASE("drawn scales are of every size, with every kind of box and trim, and one seed is one of them",
          "[bad_days]") {
    std::set<int> cells;
    std::set<int> trims;
    std::set<int> wires;
    std::set<bool> summed;
    std::set<std::string> texts;
    for (const DayScale& scale : drawn(200)) {
        const scale::Description& d = scale.file.description;
        cells.insert(d.cell_count());
        trims.insert(static_cast<int>(d.trim.kind) * 2 + (d.trim.mixing_ohm > 0.0 ? 1 : 0));
        wires.insert(d.home_run_wires);
        summed.insert(d.converter == scale::Converter::summed);
        texts.insert(scale.text);
        CHECK(drawn_scale_text(*drawn_seed(scale.name)) == scale.text);
    }
    CHECK(cells == std::set{4, 6, 8, 10, 12, 14, 16});
    CHECK(trims.size() >= 4);
    CHECK(wires.size() == 2);
    CHECK(summed.size() == 2);
    CHECK(texts.size() == 200);
    CHECK(drawn_seed("drawn-17-per-cell") == 17);
    CHECK_FALSE(drawn_seed("drawn-"));
    CHECK_FALSE(drawn_seed("quarry-8"));
}

TEST_CASE("what is drawn, and what comes of it, is the same with every compiler", "[bad_days]") {
    const std::vector<DayScale> scales = drawn(200);
    std::string texts;
    for (const DayScale& scale : scales) texts += scale.text;
    CHECK(checksum_of(texts) == 0xcbbd1097u);
    CampaignPart part;
    part.setting = {60, 1};
    part.tally = spend_days(with_both_boxes({scales.begin(), scales.begin() + 10}), part.setting);
    CHECK(checksum_of(json_of(part).dump()) == 0xf36e441cu);
}

TEST_CASE("on some bad days of drawn scales no wrong weight is shown as right", "[bad_days][long]") {
    require_none_wrong(spend_days(with_both_boxes(drawn(40)), {300, 1}));
}

TEST_CASE("on many more bad days of drawn scales neither", "[bad_days][campaign]") {
    require_none_wrong(spend_days(with_both_boxes(drawn(200)), {3'000, 9'000'001}));
}

// Of 8000 days from seed 3000001 on 500 drawn scales these two were wrong and are still: a box with a channel
// per cell goes on while a cell has lost nearly half of the deck's own weight and a load is elsewhere. Three
// more were of scales whose trims do not bring the corners within the limits, which is no firmware's doing.
// Whoever mends the first two will see this test fail, and moves them to those that once went wrong.
TEST_CASE("on two days of drawn scales a cell that lost nearly half is not noticed",
          "[bad_days][!shouldfail]") {
    for (const char* name : {"drawn-15-per-cell:3000027", "drawn-194:3000313"}) {
        const auto scales = with_both_boxes({*drawn_scale(*drawn_seed(name))});
        std::string error;
        const auto day = find_day(scales, name, error);
        REQUIRE(day);
        CHECK(spend_day(*day->scale, day->seed).wrong.empty());
    }
}
