#include "sim/field/corner_test.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "firmware/weighing/division.h"
#include "tests/field/field_scales.h"

using namespace cornerbench;

namespace {

files::Standard standard(bool before_rounding) {
    files::Standard s;
    s.stages[0].factor = 1.0;
    s.stages[1].factor = 2.0;
    s.before_rounding = before_rounding;
    // OIML R 76-1:2006 (E), 3.5.1, table 6, class III.
    files::AccuracyClass class_III{"III", "", {}, {}};
    class_III.limits.bands[0] = {500.0, 0.5};
    class_III.limits.bands[1] = {2000.0, 1.0};
    class_III.limits.bands[2] = {10000.0, 1.5};
    class_III.limits.count = 3;
    s.classes = {class_III};
    return s;
}

field::CornerTest test_with(double ratio, bool before_rounding, double mass_kg = 10000.0) {
    scale::Fault weak;
    weak.cause = scale::Cause::weak_output;
    weak.site = {scale::SiteKind::cell, 2};
    weak.magnitude[0] = ratio;
    return field::test_corners(field::limp_eight(), {&weak, 1}, standard(before_rounding), "III",
                               {.mass_kg = mass_kg});
}

}  // namespace

TEST_CASE("the error before rounding is the one that small weights bring to light", "[corners]") {
    // OIML R 76-1:2006, A.4.4.3 (from memory): weights of 0.1 e are added until the indication I changes to
    // the next division at dL; then P = I + e/2 - dL, and the error is P less the load.
    const double e = 20.0;
    for (const double ratio : {0.9990, 0.9973, 0.9961, 0.9985}) {
        const field::CornerTest test = test_with(ratio, true);
        for (const field::TestResult& r : test.supports) {
            const double weight_kg = test.mass_kg + r.exact_error_kg;
            double added = 0.0;
            while (weighing::rounded_kg(weight_kg + added, e) <= r.shown_kg + 0.5 * e) added += 0.1 * e;
            const double p = r.shown_kg + 0.5 * e - added;
            CHECK(std::fabs(p - test.mass_kg - r.exact_error_kg) <= 0.1 * e + 1.0e-6);
            CHECK(std::fabs(r.shown_error_kg - e * std::round(r.shown_error_kg / e)) < 1.0e-6);
        }
    }
}

TEST_CASE("R 76 judges the error before rounding, Handbook 44 the one that is shown", "[corners]") {
    // Corner 3 of a limp deck carries all of 10 t: a cell at 0.9988 makes it 12 kg short, shown as 20 kg; one
    // at 0.9972 28 kg short, shown as 20 kg. The limit in service is 1 e = 20 kg (R 76-1:2006 (E), 3.5.2).
    const auto corner_3 = [](double ratio, bool before_rounding) {
        return test_with(ratio, before_rounding).supports[2];
    };
    CHECK(corner_3(0.9988, true).shown_error_kg == Approx(-20.0));
    CHECK(corner_3(0.9988, true).exact_error_kg == Approx(-12.0).margin(1.0));
    CHECK(corner_3(0.9988, true).within());
    CHECK(corner_3(0.9972, true).shown_error_kg == Approx(-20.0));
    CHECK_FALSE(corner_3(0.9972, true).within());
    CHECK(corner_3(0.9972, false).within());
}

TEST_CASE("no weight is shown past Max + 9 e, or where the standard ends the display", "[corners]") {
    // OIML R 76-1:2006, 4.2.3 (from memory): 60 180 kg here; Handbook 44, 2.20, S.1.7: 105 %, 63 000 kg.
    const auto shown = [](double ratio, double over_share) {
        files::Standard s = standard(true);
        s.classes[0].rules.over_share = over_share;
        if (over_share > 0.0) s.classes[0].rules.over_divisions = 0.0;
        scale::Fault strong;
        strong.cause = scale::Cause::wrong_cell;
        strong.site = {scale::SiteKind::cell, 2};
        strong.magnitude[0] = ratio;
        return field::test_corners(field::limp_eight(), {&strong, 1}, s, "III", {.mass_kg = 60000.0})
            .supports[2]
            .shown;
    };
    CHECK(shown(1.0025, 0.0) == diagnosis::Shown::value);  // 60 150 kg
    CHECK(shown(1.0040, 0.0) == diagnosis::Shown::over_range);
    CHECK(shown(1.0040, 0.05) == diagnosis::Shown::value);
    CHECK(shown(1.0600, 0.05) == diagnosis::Shown::over_range);
}

TEST_CASE("it is told which support lifts off", "[corners]") {
    // A gap far larger than the deck's dead load closes: that support carries nothing while the deck is
    // empty, and no other does, for the deck twists about its neighbours.
    scale::Fault gap;
    gap.cause = scale::Cause::unseated_support;
    gap.site = {scale::SiteKind::support, 4};
    gap.magnitude[0] = 0.02;
    const field::CornerTest test =
        field::test_corners(field::stiff_eight(), {&gap, 1}, standard(true), "III", {.mass_kg = 10000.0});
    CHECK(test.empty.lifted[4]);
    CHECK_FALSE(test.empty.lifted[0]);
}
