#include "firmware/weighing/division.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <string>
#include <type_traits>

#include "tests/random_scale.h"

using namespace cornerbench;
using scale::MassUnit;
using weighing::check_ranges;
using weighing::Division;
using weighing::DivisionError;
using weighing::PartialRanges;

namespace {

static_assert(std::is_trivially_copyable_v<PartialRanges>);

/// What the digits say, as people write it.
std::string text(const weighing::ShownWeight& shown) {
    const std::string all = std::to_string(std::abs(shown.digits));
    const auto after_point = static_cast<std::size_t>(shown.decimals);
    const std::string zeros(all.size() <= after_point ? after_point + 1 - all.size() : 0, '0');
    const std::string digits = zeros + all;
    const std::string whole = digits.substr(0, digits.size() - after_point);
    const std::string sign(shown.digits < 0 ? 1 : 0, '-');
    if (after_point == 0) return sign + whole;
    return sign + whole + '.' + digits.substr(whole.size());
}

std::string in_unit(double kg, MassUnit unit, double division_kg) {
    return text(weighing::shown_weight(kg, unit, weighing::division_in(unit, division_kg)));
}

/// OIML R 76-1:2006, example to 3.3 (multi-interval): Max 2/5/15 kg, e 1/2/10 g.
const PartialRanges shop_scale{{{{2.0, 0.001}, {5.0, 0.002}, {15.0, 0.010}}}, 3};

}  // namespace

TEST_CASE("A weight halfway between two divisions goes away from zero on either side", "[weighing]") {
    // Common practice, no source: the standards leave the halfway value open; a scale that shows -x as it
    // shows x has no step at zero.
    CHECK(weighing::rounded_kg(10.0, 20.0) == 20.0);
    CHECK(weighing::rounded_kg(-10.0, 20.0) == -20.0);
    CHECK(weighing::rounded_kg(9.999, 20.0) == 0.0);
    CHECK(weighing::rounded_kg(29.999, 20.0) == 20.0);
    CHECK(weighing::rounded_kg(30.0, 20.0) == 40.0);
    CHECK_FALSE(std::signbit(weighing::rounded_kg(-9.0, 20.0)));
    CHECK(weighing::whole_divisions(-30.0, 20.0) == -2);
    CHECK(weighing::whole_divisions(59990.0, 20.0) == 3000);
}

TEST_CASE("Rounding answers every number", "[weighing]") {
    const double infinity = std::numeric_limits<double>::infinity();
    CHECK(weighing::whole_divisions(infinity, 20.0) == 1'000'000'000'000'000);
    CHECK(weighing::whole_divisions(-1.0e300, 20.0) == -1'000'000'000'000'000);
    CHECK(weighing::whole_divisions(std::nan(""), 20.0) == 0);
    CHECK(weighing::whole_divisions(100.0, 0.0) == 0);
    CHECK(weighing::whole_divisions(100.0, std::nan("")) == 0);
    CHECK(weighing::division_from(std::nan("")) == Division{});
    CHECK(weighing::division_from(-20.0) == Division{});
    CHECK(weighing::division_from(1.0e12) == Division{});
    CHECK(weighing::shown_weight(1.0e300, MassUnit::kilogram, {5, 9}).digits > 0);
}

TEST_CASE("No weight is rounded further than half a division", "[weighing]") {
    tests::Draw draw(11);
    for (int i = 0; i < 20000; ++i) {
        const double division = draw.one_of({1.0, 2.0, 5.0}) * std::pow(10.0, draw.integer(-3, 3));
        const double weight = draw.uniform(-20000.0, 20000.0) * division;
        const double shown = weighing::rounded_kg(weight, division);
        REQUIRE(std::fabs(shown - weight) <= 0.5 * division * (1.0 + 1e-9));
        REQUIRE(std::fabs(std::remainder(shown, division)) <= 1e-9 * division);
        REQUIRE(weighing::rounded_kg(-weight, division) == -shown);
    }
}

TEST_CASE("Divisions are 1, 2 or 5 times a power of ten", "[weighing]") {
    // OIML R 76-1:2006, 3.2 (clause from memory).
    CHECK(weighing::division_from(20.0) == Division{2, 1});
    CHECK(weighing::division_from(0.02) == Division{2, -2});
    CHECK(weighing::division_from(0.001) == Division{1, -3});
    CHECK(weighing::division_from(500.0) == Division{5, 2});
    for (const double none : {3.0, 25.0, 0.04, 20.0001}) CHECK(weighing::division_from(none) == Division{});
    // The nearest double, whatever the exponent.
    CHECK(Division{5, -3}.value() == 0.005);
    CHECK(Division{2, -6}.value() == 0.000002);
    CHECK(Division{1, 4}.value() == 10000.0);
}

TEST_CASE("Another unit gets its own division, never a finer one", "[weighing]") {
    // 1 lb = 0.45359237 kg (1959 agreement): 20 kg are 44.09 lb, 10 kg 22.05 lb, 5 kg 11.02 lb; a scale by 20
    // lb weighs by 9.07 kg.
    CHECK(weighing::division_in(MassUnit::kilogram, 20.0) == Division{2, 1});
    CHECK(weighing::division_in(MassUnit::tonne, 20.0) == Division{2, -2});
    CHECK(weighing::division_in(MassUnit::pound, 20.0) == Division{5, 1});
    CHECK(weighing::division_in(MassUnit::pound, 10.0) == Division{5, 1});
    CHECK(weighing::division_in(MassUnit::pound, 5.0) == Division{2, 1});
    CHECK(weighing::division_in(MassUnit::pound, 20.0 * 0.45359237) == Division{2, 1});
    CHECK(weighing::division_in(MassUnit::kilogram, 20.0 * 0.45359237) == Division{1, 1});

    tests::Draw draw(12);
    for (int i = 0; i < 2000; ++i) {
        const double kg = draw.log_uniform(1e-3, 1e4);
        const double pounds = weighing::division_in(MassUnit::pound, kg).value();
        REQUIRE(pounds * 0.45359237 >= kg * (1.0 - 1e-8));
        REQUIRE(pounds * 0.45359237 < 2.5 * kg * (1.0 + 1e-8));  // the widest gap of 1-2-5 is from 2 to 5
    }
}

TEST_CASE("Digits stand as on a screen", "[weighing]") {
    CHECK(in_unit(43210.0, MassUnit::kilogram, 20.0) == "43220");
    CHECK(in_unit(43209.0, MassUnit::kilogram, 20.0) == "43200");
    CHECK(in_unit(43209.0, MassUnit::tonne, 20.0) == "43.20");
    CHECK(in_unit(-9.0, MassUnit::tonne, 20.0) == "0.00");
    CHECK(in_unit(-10.0, MassUnit::tonne, 20.0) == "-0.02");
    CHECK(in_unit(0.0, MassUnit::kilogram, 20.0) == "0");
    // 80 000 lb, the federal gross limit of the United States (23 CFR 658.17), is 36 287.39 kg.
    CHECK(in_unit(80000.0 * 0.45359237, MassUnit::pound, 20.0 * 0.45359237) == "80000");
    CHECK(in_unit(36287.0, MassUnit::pound, 20.0) == "80000");
}

TEST_CASE("A multi-interval scale takes the division of the range the load is in", "[weighing]") {
    // OIML R 76-1:2006, 3.3: Max 2/5/15 kg, e 1/2/10 g; an upper edge belongs to the range below it.
    CHECK(check_ranges(shop_scale, MassUnit::kilogram) == DivisionError::none);
    CHECK(shop_scale.division_at(0.0) == 0.001);
    CHECK(shop_scale.division_at(2.0) == 0.001);
    CHECK(shop_scale.division_at(2.0001) == 0.002);
    CHECK(shop_scale.division_at(5.0) == 0.002);
    CHECK(shop_scale.division_at(5.0001) == 0.010);
    CHECK(shop_scale.division_at(15.0) == 0.010);
    CHECK(shop_scale.division_at(99.0) == 0.010);
    CHECK(shop_scale.division_at(-3.0) == 0.002);
    CHECK(shop_scale.rounded_kg(1.2344) == Approx(1.234).epsilon(1e-12));
    CHECK(shop_scale.rounded_kg(3.2331) == Approx(3.234).epsilon(1e-12));
    CHECK(shop_scale.rounded_kg(10.0049) == Approx(10.0).epsilon(1e-12));
    CHECK(PartialRanges{}.rounded_kg(3.0) == 0.0);
}

TEST_CASE("Across the edges of its ranges a multi-interval scale never falls while the load grows",
          "[weighing]") {
    double before = -16.0;
    for (int i = -150000; i <= 150000; ++i) {
        const double shown = shop_scale.rounded_kg(i * 0.0001);
        REQUIRE(shown >= before);
        before = shown;
    }
    CHECK(before == Approx(15.0));
}

TEST_CASE("Partial ranges that cannot be weighed by are named", "[weighing]") {
    const auto problem = [](PartialRanges ranges) { return check_ranges(ranges, MassUnit::kilogram); };
    CHECK(problem({}) == DivisionError::no_range);
    CHECK(problem({{{{60000, 20}}}, 4}) == DivisionError::no_range);
    CHECK(problem({{{{60000, 20}}}, 1}) == DivisionError::none);
    CHECK(problem({{{{60000, 0}}}, 1}) == DivisionError::not_positive);
    CHECK(problem({{{{std::nan(""), 20}}}, 1}) == DivisionError::not_positive);
    CHECK(problem({{{{60000, 25}}}, 1}) == DivisionError::not_1_2_5);
    CHECK(problem({{{{60010, 20}}}, 1}) == DivisionError::not_whole);
    CHECK(problem({{{{30000, 10}, {60000, 20}}}, 2}) == DivisionError::none);
    CHECK(problem({{{{30000, 20}, {60000, 20}}}, 2}) == DivisionError::not_increasing);
    CHECK(problem({{{{60000, 10}, {60000, 20}}}, 2}) == DivisionError::not_increasing);
    CHECK(problem({{{{30010, 10}, {60000, 20}}}, 2}) == DivisionError::not_whole);
    // The same as a scale in pounds sees it: 120 000 lb by 20 lb is round there, 60 000 kg by 20 kg is not.
    const double pound = 0.45359237;
    CHECK(check_ranges({{{{120000 * pound, 20 * pound}}}, 1}, MassUnit::pound) == DivisionError::none);
    CHECK(check_ranges({{{{60000, 20}}}, 1}, MassUnit::pound) == DivisionError::not_1_2_5);
}

TEST_CASE("The changeover point tells the weight before rounding", "[weighing]") {
    // The standard's own worked example (R 76-1, A.4.4.3, from memory): e = 5 g, 1 kg put on, I = 1000 g;
    // after 1.5 g in all the indication changes to 1005 g: P = 1000 + 2.5 - 1.5 = 1001 g.
    CHECK(weighing::weight_before_rounding_kg(1.000, 0.005, 0.0015) == Approx(1.001).epsilon(1e-12));

    // Whatever the weight, adding tenths of e until the digits change finds it to a tenth of e.
    tests::Draw draw(13);
    for (int i = 0; i < 500; ++i) {
        const double truth = draw.uniform(0.0, 60000.0);
        const double shown = weighing::rounded_kg(truth, 20.0);
        double added = 0.0;
        while (weighing::rounded_kg(truth + added, 20.0) == shown) added += 2.0;
        const double found = weighing::weight_before_rounding_kg(shown, 20.0, added);
        REQUIRE(std::fabs(found - truth) <= 2.0 * (1.0 + 1e-9));
    }
}
