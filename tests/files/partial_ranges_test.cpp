#include <catch2/catch.hpp>

#include <string>

#include "sim/virtual_scale/indicator_settings.h"
#include "tests/files/error_matchers.h"
#include "tests/files/scale_text.h"

using namespace cornerbench;
using namespace cornerbench::files;
using namespace cornerbench::files::testing;

namespace {

/// Max 10/20 t, d 5/10 kg.
ScaleText two_ranges() {
    ScaleText text = ScaleText::small();
    return text.set("finer", "up_to", "10000").set("finer", "division", "5");
}

}  // namespace

// OIML R 76-1:2006, T.3.2.6 and 3.3 (clauses from memory): the range that the load is in decides the
// division, with the load growing or falling; each range ends with its own Max.
TEST_CASE("A multi-interval scale's file gives each load its division", "[files]") {
    const auto loaded = two_ranges().load();
    CAPTURE(to_string(loaded.errors));
    REQUIRE(loaded.value.has_value());
    const scale::Description& d = loaded.value->description;
    CHECK(d.division_at_kg(0.0) == 5.0);
    CHECK(d.division_at_kg(-9999.0) == 5.0);
    CHECK(d.division_at_kg(10000.0) == 5.0);
    CHECK(d.division_at_kg(10000.1) == 10.0);
    CHECK(d.division_at_kg(25000.0) == 10.0);

    const auto three = two_ranges().set("finest", "up_to", "4000").set("finest", "division", "2").load();
    REQUIRE(three.value.has_value());
    CHECK(three.value->description.division_at_kg(4000.0) == 2.0);
    CHECK(three.value->description.division_at_kg(4001.0) == 5.0);
    CHECK(ScaleText::small().load().value->description.division_at_kg(0.0) == 10.0);
}

TEST_CASE("The indicator of a multi-interval scale rounds as its description does", "[virtual]") {
    const auto loaded = two_ranges().set("finest", "up_to", "4000").set("finest", "division", "2").load();
    REQUIRE(loaded.value.has_value());
    const scale::Description& d = loaded.value->description;
    const weighing::PartialRanges ranges = virtual_scale::indicator_settings(*loaded.value).weigher.ranges;
    CHECK(ranges.count == 3);
    CHECK(weighing::check_ranges(ranges, d.unit) == weighing::DivisionError::none);
    for (double kg = -21000.0; kg < 21000.0; kg += 617.3)
        CHECK(ranges.division_at(kg) == d.division_at_kg(kg));
}

TEST_CASE("Ranges that cannot be weighed by are refused at their key", "[files]") {
    const auto line = [](const ScaleText& text, const char* name) { return text.line_of("finer", name); };
    ScaleText text = two_ranges();
    text.set("finer", "division", "3");
    require_only(text.load(), {ErrorKind::impossible, line(text, "division"), "[finer] division",
                               "1, 2 or 5 times a power"});
    text = two_ranges();
    text.set("finer", "division", "10");
    require_only(text.load(), {ErrorKind::impossible, line(text, "division"), "[finer] division",
                               "must be below the next"});
    text = two_ranges();
    text.set("finer", "up_to", "20000");
    require_only(text.load(),
                 {ErrorKind::impossible, line(text, "up_to"), "[finer] up_to", "must be below the end"});
    text = two_ranges();
    text.set("finer", "up_to", "10005");
    require_only(text.load(),
                 {ErrorKind::impossible, line(text, "up_to"), "[finer] up_to", "whole number of the next"});
    text = two_ranges();
    text.set("finest", "up_to", "4005").set("finest", "division", "2");
    require_only(text.load(), {ErrorKind::impossible, text.line_of("finest", "division"), "[finest] division",
                               "go into up_to a whole number"});
    text = ScaleText::small();
    text.set("finer", "up_to", "10000");
    require_only(text.load(),
                 {ErrorKind::missing_key, line(text, "up_to"), "[finer] up_to", "needs [finer] division"});
    text = ScaleText::small();
    text.set("finest", "up_to", "4000").set("finest", "division", "2");
    require_only(text.load(), {ErrorKind::missing_key, text.line_of("finest", "up_to"), "[finest] up_to",
                               "needs [finer]"});
}
