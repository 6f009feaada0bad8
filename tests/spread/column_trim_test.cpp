#include "sim/spread/column_trim.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "sim/field/trimmed_corners.h"
#include "tests/random_scale.h"

// A technician's way of trimming one scale, corner after corner with its own slopes, stands in
// sim/field/trimmed_corners.h; many scales trimmed at once by nominal slopes must end where it ends.

using namespace cornerbench;
using namespace cornerbench::spread;

namespace {

/// Largest less smallest response of a scale's corners, over the mean.
double uneven(const scale::Condition& c, const CornerLoads& loads) {
    LoadRatios ratios(loads);
    ratios.put(0, c);
    const circuit::Box box(c);
    const auto output = [&](int load) {
        circuit::Ratios one{};
        for (int p = 0; p < c.cell_count; ++p)
            one[static_cast<unsigned>(p)] =
                ratios.under(load)[static_cast<std::size_t>(p * ColumnBoxes::columns)];
        return box.output(one).ratio;
    };
    double low = 0.0;
    double high = 0.0;
    double mean = 0.0;
    for (int i = 0; i < c.cell_count; ++i) {
        const double response = output(CornerLoads::over(i)) - output(CornerLoads::empty());
        low = i == 0 ? response : std::min(low, response);
        high = i == 0 ? response : std::max(high, response);
        mean += response / c.cell_count;
    }
    return (high - low) / mean;
}

}  // namespace

TEST_CASE("many scales trimmed at once end as even as one by one", "[spread]") {
    tests::Draw draw(70);
    int trimmed = 0;
    int out_of_reach = 0;
    for (int round = 0; round < 60; ++round) {
        const auto adjusting = static_cast<tests::Adjusting>(round % tests::adjusting_count);
        scale::Description d = tests::random_description(draw, adjusting);
        tests::turn_trims_at_random(draw, 0.3, 0.7, d);
        const double test_kg = 0.1 * d.max_kg;
        const CornerLoads loads(d, test_kg);
        REQUIRE(loads.valid());
        const scale::Condition nominal = scale::sound_condition(d);
        const ColumnTrim trim(nominal, loads);
        std::vector<scale::Condition> scales;
        ColumnBoxes boxes(nominal);
        LoadRatios ratios(loads);
        for (int k = 0; k < 5; ++k) {
            scale::Condition sample = tests::random_sample(draw, d);
            // The loads are those of the described deck.
            sample.deck = nominal.deck;
            sample.supports = nominal.supports;
            scales.push_back(sample);
            boxes.put(k, sample);
            ratios.put(k, sample);
        }
        const std::vector<scale::Condition> before = scales;
        trim.trim(scales, ratios, boxes);
        for (std::size_t k = 0; k < scales.size(); ++k) {
            scale::Condition by_hand = before[k];
            field::trim_corners_equal(d, test_kg, by_hand);
            const double ours = uneven(scales[k], loads);
            const double theirs = uneven(by_hand, loads);
            CAPTURE(round, k, ours, theirs, uneven(before[k], loads));
            CHECK(ours <= std::max(1.0e-8, 1.05 * theirs));
            ++trimmed;
            out_of_reach += theirs > 1.0e-6 ? 1 : 0;
        }
    }
    CHECK(trimmed == 300);
    CHECK(out_of_reach < trimmed / 3);
}

TEST_CASE("trims that would have to go beyond their ends stop there", "[spread]") {
    tests::Draw draw(71);
    for (int round = 0; round < 30; ++round) {
        const auto adjusting = static_cast<tests::Adjusting>(round % 5);  // without corner gains
        scale::Description d = tests::random_description(draw, adjusting);
        tests::turn_trims_at_random(draw, 0.0, 0.05, d);
        const CornerLoads loads(d, 0.1 * d.max_kg);
        const scale::Condition nominal = scale::sound_condition(d);
        scale::Condition sample = tests::random_sample(draw, d);
        sample.deck = nominal.deck;
        sample.supports = nominal.supports;
        sample.cells[0].sensitivity_V_per_V *= 0.8;
        std::vector<scale::Condition> scales{sample};
        ColumnBoxes boxes(nominal);
        LoadRatios ratios(loads);
        boxes.put(0, sample);
        ratios.put(0, sample);
        ColumnTrim(nominal, loads).trim(scales, ratios, boxes);
        const field::KnobRange range = field::knob_range(sample);
        for (int p = 0; p < sample.cell_count; ++p) {
            const double at = field::knob(scales[0], p);
            REQUIRE(std::isfinite(at));
            REQUIRE(at >= range.low);
            REQUIRE(at <= range.high);
        }
    }
}
