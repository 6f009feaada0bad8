#include <catch2/catch.hpp>
#include <filesystem>
#include <string>
#include <vector>

#include "firmware/indicator/settings_block.h"
#include "sim/files/scale_file.h"
#include "sim/page/base64.h"
#include "sim/page/description_numbers.h"
#include "sim/page/link.h"
#include "sim/page/vehicle_numbers.h"

using namespace cornerbench;

namespace {

std::vector<scale::Description> shipped_scales() {
    std::vector<scale::Description> all;
    for (const auto& entry : std::filesystem::directory_iterator(CORNERBENCH_SOURCE_DIR "/configs/scales")) {
        const auto loaded = files::load_scale(entry.path().string());
        REQUIRE(loaded);
        all.push_back(loaded.value->description);
    }
    return all;
}

}  // namespace

// RFC 4648, section 10, test vectors.
TEST_CASE("Base64 is that of its RFC", "[page]") {
    CHECK(page::base64("").empty());
    CHECK(page::base64("f") == "Zg==");
    CHECK(page::base64("fo") == "Zm8=");
    CHECK(page::base64("foo") == "Zm9v");
    CHECK(page::base64("foob") == "Zm9vYg==");
    CHECK(page::base64("fooba") == "Zm9vYmE=");
    CHECK(page::base64("foobar") == "Zm9vYmFy");
}

TEST_CASE("A description comes out of its numbers as it went in", "[page]") {
    for (const scale::Description& d : shipped_scales()) {
        const std::vector<double> numbers = page::to_numbers(d);
        scale::Description again;
        REQUIRE(page::from_numbers(numbers, again));
        CHECK(page::to_numbers(again) == numbers);
        CHECK(again.trim.kind == d.trim.kind);
        CHECK(again.deck.section_x_m == d.deck.section_x_m);
        CHECK(again.cells[1].cable_m == d.cells[1].cable_m);
        CHECK_FALSE(page::from_numbers(std::span(numbers).first(numbers.size() - 1), again));
    }
}

TEST_CASE("Vehicles come out of their numbers as they went in, with what their files leave open", "[page]") {
    files::Vehicle tipper;
    tipper.axles = {{5600.0, 0.0}, {10400.0, 3.7}};
    tipper.bounce_Hz = 3.1;
    const auto again = page::vehicles_from(page::to_numbers({tipper, tipper}));
    REQUIRE(again.size() == 2);
    CHECK(again[1].axles.size() == 2);
    CHECK(again[1].axles[1].behind_front_m == 3.7);
    CHECK(again[1].bounce_Hz == 3.1);
    CHECK_FALSE(again[1].braking_m_per_s2.has_value());
    CHECK(page::vehicles_from(std::vector<double>{3.0, 99.0}).empty());
}

TEST_CASE("A link is read to the last deed, or answered", "[page]") {
    const auto good = page::read_link(
        "file:///tmp/"
        "bench.html#scale=quarry-8&seed=7&until=1200&hash=00ff00000000abcd&deeds=120,put,10.5,2.6,"
        "10000;800,key,0;800,leave");
    INFO(good.error);
    REQUIRE(good.link);
    CHECK(good.link->scale == "quarry-8");
    CHECK(good.link->seed == 7);
    CHECK(good.link->until == 1200);
    CHECK(good.link->hash == 0x00ff00000000abcdU);
    REQUIRE(good.link->deeds.size() == 3);
    CHECK(good.link->deeds[0].kind == page::DeedKind::put);
    CHECK(good.link->deeds[0].number[2] == 10000.0);
    CHECK(good.link->deeds[2].kind == page::DeedKind::leave);

    const auto wrong = [](const std::string& link, const std::string& words) {
        const auto read = page::read_link(link);
        INFO(link << ": " << read.error);
        CHECK_FALSE(read.link.has_value());
        CHECK(read.error.find(words) != std::string::npos);
    };
    wrong("", "neither a scale nor a lesson");
    wrong("scale=a&deeds=3,fly,1", "is no deed; there are put, move");
    wrong("scale=a&deeds=9,leave;3,leave", "before the deed ahead of it");
    wrong("scale=a&deeds=3,put,1,2", "too few numbers");
    wrong("scale=a&deeds=3,put,1,2,x", "a number that is none");
    wrong("scale=a&deeds=3,key,1,2,3,4,5,6,7", "or too many");
    wrong("scale=a&until=-5", "is no such number");
}
