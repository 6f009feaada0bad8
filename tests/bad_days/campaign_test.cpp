#include <catch2/catch.hpp>
#include <cmath>

#include "sim/bad_days/campaign_file.h"
#include "tests/bad_days/shipped_days.h"

using namespace cornerbench;
using namespace cornerbench::bad_days;
using cornerbench::tests::shipped_days;

// The limits are those in service of OIML R 76-1:2006, 3.5.2, or of the scale's own standard; the truth is
// the simulated yard's. That the firmware keeps within them whatever goes wrong is this project's own claim.

namespace {

void require_none_wrong(const Tally& tally) {
    for (const WrongDay& day : tally.wrong_days) UNSCOPED_INFO("--case " << day.day << ": " << day.what);
    CHECK(tally.wrong == 0);
    CHECK(tally.longest_s < reaction_s);
    for (const auto& [what, one] : tally.excused) {
        INFO(what << ": " << one.error_d << " d on " << one.day << ", at most " << one.bound_d);
        CHECK(one.beyond == 0);
        CHECK(std::fabs(one.error_d) <= one.bound_d);
    }
}

/// Days that once went wrong. In these the judge had not seen that a client set zero between two samples.
constexpr const char* once_wrong[] = {"scrapyard-6-per-cell:13508", "scrapyard-6:46111",
                                      "elevator-10-per-cell:88906"};

}  // namespace

TEST_CASE("on some bad days no wrong weight is shown as right", "[bad_days]") {
    const Tally tally = spend_days(shipped_days(), {600, 1});
    require_none_wrong(tally);
    // None of it is empty talk.
    CHECK(tally.judged > 300'000);
    for (std::size_t i = 0; i < tally.happened.size(); ++i) {
        INFO(kind_words[i]);
        CHECK(tally.happened[i] > 5);
    }
    CHECK(tally.excused.size() > 20);
}

TEST_CASE("on many more bad days neither", "[bad_days][campaign]") {
    const Tally tally = spend_days(shipped_days(), {12'000, 1'000'001});
    require_none_wrong(tally);
    // What no firmware can notice stands in its table with need: most of it has shown wrong weights.
    int showed = 0;
    for (const auto& [what, one] : tally.excused) showed += one.showed > 0 ? 1 : 0;
    CHECK(showed > 25);
}

TEST_CASE("the days that once went wrong do not any more", "[bad_days]") {
    const auto scales = shipped_days();
    for (const char* name : once_wrong) {
        INFO(name);
        std::string error;
        const auto day = find_day(scales, name, error);
        REQUIRE(day);
        CHECK(spend_day(*day->scale, day->seed).wrong.empty());
    }
}

TEST_CASE("one seed is one day, told or not", "[bad_days]") {
    const auto scales = shipped_days();
    for (std::uint64_t seed = 40; seed < 51; ++seed) {
        const DayScale& scale = scales[seed % scales.size()];
        const DayOutcome once = spend_day(scale, seed);
        DaySetting told;
        told.tell = true;
        const DayOutcome again = spend_day(scale, seed, told);
        CHECK(once.hash == again.hash);
        CHECK(once.judged == again.judged);
        CHECK(once.happened == again.happened);
        CHECK(once.story.empty());
        CHECK(again.story.size() > 3);
    }
}

TEST_CASE("parts of a campaign add up to the whole, in any order", "[bad_days]") {
    const auto scales = shipped_days();
    CampaignPart whole{{"a", "b"}, 7, {31, 500}, {}, {}};
    whole.tally = spend_days(scales, whole.setting);
    std::vector<CampaignPart> parts;
    for (const int number : {3, 1, 2}) {
        CampaignPart part{{"a", "b"}, 7, {31, 500}, {number, 3}, {}};
        part.tally = spend_days(scales, part.setting, part.shard);
        std::string error;
        const auto read = read_part(json_of(part).dump(), error);
        INFO(error);
        REQUIRE(read);
        parts.push_back(*read);
    }
    std::string error;
    const auto sum = put_together(parts, error);
    REQUIRE(sum);
    CHECK(json_of(*sum)["tally"]["happened"] == json_of(whole)["tally"]["happened"]);
    CHECK(json_of(*sum)["tally"]["unnoticeable"] == json_of(whole)["tally"]["unnoticeable"]);
    CHECK(sum->tally.days == 31);
    CHECK(sum->tally.judged == whole.tally.judged);

    CHECK_FALSE(put_together({parts[0], parts[1]}, error));
    CHECK(error == "part 2 of 3 is missing: run 'cornerbench bad-days' with --shard 2/3");
    CHECK_FALSE(put_together({parts[0], parts[1], parts[2], parts[2]}, error));
    parts[1].setting.first_seed = 501;
    CHECK_FALSE(put_together(parts, error));
    CHECK_FALSE(read_part("{}", error));
    CHECK_FALSE(read_part(json_of(whole).dump().substr(5), error));
}
