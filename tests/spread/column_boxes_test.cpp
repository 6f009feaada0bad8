#include "sim/spread/column_boxes.h"

#include <catch2/catch.hpp>
#include <vector>

#include "sim/spread/spread.h"
#include "tests/circuit/random_circuit.h"
#include "tests/spread/one_tolerance.h"

using namespace cornerbench;
using namespace cornerbench::spread;

TEST_CASE("what a batch does not take is solved box by box, bit for bit", "[spread]") {
    oracle::Random random(90);
    for (int round = 0; round < 40; ++round) {
        const int cells = 2 + oracle::pick(random, 10);
        // A shunt without mixing resistors.
        const scale::Description d =
            oracle::random_description(random, cells, oracle::trim_choice(5), scale::Converter::summed);
        ColumnBoxes boxes(oracle::random_condition(random, d, cells));
        REQUIRE_FALSE(boxes.by_batch());
        std::vector<scale::Condition> conditions;
        std::vector<circuit::Ratios> ratios;
        std::vector<double> all(static_cast<std::size_t>(scale::max_cells * ColumnBoxes::columns));
        for (int k = 0; k < 5; ++k) {
            conditions.push_back(oracle::random_condition(random, d, cells));
            boxes.put(k, conditions.back());
            circuit::Ratios one{};
            for (std::size_t p = 0; p < static_cast<std::size_t>(cells); ++p)
                all[p * ColumnBoxes::columns + static_cast<std::size_t>(k)] = one[p] =
                    oracle::uniform(random, -3.0e-3, 3.0e-3);
            ratios.push_back(one);
        }
        const int turned = oracle::pick(random, cells);
        conditions[3].positions[static_cast<unsigned>(turned)].trim_at *= 0.5;
        boxes.put_cell(3, turned, conditions[3]);
        std::vector<double> ratio(5);
        boxes.outputs(all, 5, ratio);
        for (std::size_t k = 0; k < 5; ++k)
            REQUIRE(ratio[k] == circuit::Box(conditions[k]).output(ratios[k]).ratio);
    }
}

TEST_CASE("a box that no batch takes spreads like one that a batch takes", "[spread]") {
    scale::Description d = tests::plain_scale(4);
    Chain batch(d, tests::only(&field::PartTolerances::rated_output_percent, 0.1), State::as_delivered,
                tests::test_kg);
    // A shunt of 2 Gohm over the bus is none, but no batch takes it.
    d.trim = {scale::TrimKind::signal_shunt, 1.0e9, 0.0, 1.0e9, 0.0};
    Chain alone(d, tests::only(&field::PartTolerances::rated_output_percent, 0.1), State::as_delivered,
                tests::test_kg);
    CHECK(batch.by_batch());
    CHECK_FALSE(alone.by_batch());
    const FirstOrder with = Sensitivities(batch).first_order();
    const FirstOrder without = Sensitivities(alone).first_order();
    CHECK(without.deviation.corner_kg == Approx(with.deviation.corner_kg).epsilon(1.0e-4));
    CHECK(without.deviation.span == Approx(with.deviation.span).epsilon(1.0e-4));
}
