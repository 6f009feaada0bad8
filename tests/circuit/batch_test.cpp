#include "firmware/circuit/batch.h"

#include <catch2/catch.hpp>
#include <memory>
#include <vector>

#include "tests/circuit/comparison.h"

// What the single path says is held against ngspice and dense nodal analysis elsewhere; here the ways of
// computing it side by side must give its very bits. Contraction is off and the order of operations the same.

using namespace cornerbench;
using namespace cornerbench::oracle;

namespace {

/// Any box: random parts, up to two faults, an open or shorted circuit among them.
scale::Condition any_condition(Random& random, int cells) {
    const auto converter = pick(random, 2) == 0 ? scale::Converter::per_cell : scale::Converter::summed;
    const scale::Description d =
        random_description(random, cells, trim_choice(pick(random, trim_choices)), converter);
    scale::Condition c = random_condition(random, d, cells);
    for (int fault = pick(random, 3); fault > 0; --fault) {
        const auto cause = static_cast<scale::Cause>(pick(random, scale::cause_count));
        if (!electrical(cause) || cause == scale::Cause::swapped_cells) continue;
        scale::apply(random_fault(random, d, cells, cause, pick(random, scale::variant_count(d, cause))), d,
                     c);
    }
    return c;
}

}  // namespace

TEST_CASE("a batch of loads gives the bits of one load at a time", "[circuit]") {
    Random random(30);
    int missing = 0;
    for (int round = 0; round < 200; ++round) {
        const int cells = 1 + pick(random, 16);
        const int variants = 1 + pick(random, 30);
        CAPTURE(round, cells, variants);
        const circuit::Box box(any_condition(random, cells));
        const auto n = static_cast<std::size_t>(variants);
        std::vector<double> ratios(n * static_cast<std::size_t>(cells));
        for (double& ratio : ratios) ratio = uniform(random, -3.0e-3, 3.0e-3);

        std::vector<double> ratio(n, -1.0);
        std::vector<double> reference_V(n, -1.0);
        std::vector<double> channel(ratios.size(), -1.0);
        const auto gone = std::make_unique<bool[]>(n);
        circuit::outputs(box, ratios, variants, {ratio, reference_V, {gone.get(), n}, channel});

        for (std::size_t v = 0; v < n; ++v) {
            circuit::Ratios one{};
            for (std::size_t p = 0; p < static_cast<std::size_t>(cells); ++p) one[p] = ratios[p * n + v];
            const circuit::BoxOutput single = box.output(one);
            REQUIRE(ratio[v] == single.ratio);
            REQUIRE(reference_V[v] == single.reference_V);
            REQUIRE(gone[v] == single.reference_missing);
            missing += single.reference_missing ? 1 : 0;
            for (std::size_t p = 0; p < static_cast<std::size_t>(cells); ++p) {
                REQUIRE(channel[p * n + v] == (box.per_cell() ? single.channel[p] : -1.0));
            }
        }
    }
    CHECK(missing > 0);
}

TEST_CASE("an empty span of a batch is left alone, an empty batch does nothing", "[circuit]") {
    Random random(31);
    const circuit::Box box(any_condition(random, 4));
    const std::vector<double> ratios(4 * 9, 1.0e-3);
    std::vector<double> ratio(9, -1.0);
    circuit::outputs(box, ratios, 0, {ratio, {}, {}, {}});
    CHECK(ratio == std::vector<double>(9, -1.0));
    circuit::outputs(box, ratios, 9, {ratio, {}, {}, {}});
    circuit::Ratios one{};
    one.fill(1.0e-3);
    CHECK(ratio == std::vector<double>(9, box.output(one).ratio));
}

TEST_CASE("a cell reduced alone, in its box or after an exchange has the same bits", "[circuit]") {
    Random random(32);
    for (int round = 0; round < 200; ++round) {
        const int cells = 1 + pick(random, 16);
        CAPTURE(round, cells);
        const scale::Condition before = any_condition(random, cells);
        scale::Condition after = before;
        const int position = pick(random, cells);
        const int moved = after.positions[static_cast<unsigned>(position)].cell;
        after.cells[static_cast<unsigned>(moved)].cable_m += 3.0;
        after.cells[static_cast<unsigned>(moved)].output_ohm *= 1.01;
        after.positions[static_cast<unsigned>(position)].trim_at *= 0.9;
        after.positions[static_cast<unsigned>(position)].digital_gain *= 0.9;

        const circuit::Box old(before);
        const circuit::Box fresh(after);
        const auto ratios = core_ratios(after, random_forces(random));
        circuit::Box changed = old;
        changed.replace(position, after);
        REQUIRE(changed.output(ratios).ratio == fresh.output(ratios).ratio);
        REQUIRE(changed.output(ratios).channel == fresh.output(ratios).channel);
        changed.restore(position, old);
        REQUIRE(changed.output(ratios).ratio == old.output(ratios).ratio);

        const auto& cell = after.cells[static_cast<unsigned>(moved)];
        const double ratio = ratios[static_cast<unsigned>(position)];
        const circuit::CellFrame frame(cell, after.positions[static_cast<unsigned>(position)], after.trim);
        REQUIRE(frame.close(circuit::arm_ohms(cell, ratio)).siemens == fresh.ports(position, ratio).siemens);
    }
}
