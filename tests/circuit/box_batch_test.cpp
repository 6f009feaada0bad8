#include "firmware/circuit/box_batch.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <memory>
#include <vector>

#include "tests/circuit/comparison.h"

// What a Box says is held against ngspice and dense nodal analysis elsewhere; here a batch of boxes is held
// against Boxes. It reduces each cell by another way, in closed form, so bits differ and roundings are
// allowed.

using namespace cornerbench;
using namespace cornerbench::oracle;
using circuit::BoxBatch;

namespace {

/// Of the ratio. Both ways find the signal as the difference of two potentials near half the excitation, so
/// beyond that each may be off by some of their last bits: as much as that of a rated output of 2 mV/V.
constexpr double relative = 1.0e-12;
constexpr double last_bits = 2.0e-15;

struct Drawn {
    scale::Condition condition;
    std::vector<scale::Cause> causes;
};

/// A box with up to two faults of any kind.
Drawn any_box(Random& random, const scale::Description& d, int cells) {
    Drawn drawn{random_condition(random, d, cells), {}};
    for (int fault = pick(random, 3); fault > 0; --fault) {
        const auto cause = static_cast<scale::Cause>(pick(random, scale::cause_count));
        if (!electrical(cause) || (cause == scale::Cause::swapped_cells && cells < 2)) continue;
        scale::apply(random_fault(random, d, cells, cause, pick(random, scale::variant_count(d, cause))), d,
                     drawn.condition);
        drawn.causes.push_back(cause);
    }
    return drawn;
}

scale::Converter any_converter(Random& random) {
    return pick(random, 2) == 0 ? scale::Converter::per_cell : scale::Converter::summed;
}

/// Bridge ratios of one column, and those of a batch with them in every column.
circuit::Ratios any_ratios(Random& random) {
    circuit::Ratios ratios{};
    for (double& ratio : ratios) ratio = uniform(random, -3.0e-3, 3.0e-3);
    return ratios;
}

constexpr std::size_t columns = BoxBatch::columns;

void set_column(std::vector<double>& all, std::size_t column, const circuit::Ratios& ratios) {
    for (std::size_t p = 0; p < scale::max_cells; ++p) all[p * columns + column] = ratios[p];
}

bool has(const std::vector<scale::Cause>& causes, std::initializer_list<scale::Cause> any_of) {
    return std::any_of(causes.begin(), causes.end(), [&](scale::Cause cause) {
        return std::find(any_of.begin(), any_of.end(), cause) != any_of.end();
    });
}

}  // namespace

TEST_CASE("a batch of boxes says what each box says by itself", "[circuit]") {
    Random random(60);
    int compared = 0;
    int missing = 0;
    std::array<int, scale::cause_count> with{};
    for (int round = 0; round < 150; ++round) {
        const int cells = 1 + pick(random, scale::max_cells);
        const int choice = pick(random, trim_choices);
        CAPTURE(round, cells, choice);
        const scale::Description d =
            random_description(random, cells, trim_choice(choice), any_converter(random));
        auto batch = std::make_unique<BoxBatch>();
        std::vector<double> ratios(scale::max_cells * columns);
        std::vector<Drawn> boxes;
        std::vector<circuit::Ratios> loads;
        for (int tries = 0; tries < 200 && boxes.size() < columns; ++tries) {
            const Drawn drawn = any_box(random, d, cells);
            if (!batch->put(static_cast<int>(boxes.size()), drawn.condition)) continue;
            loads.push_back(any_ratios(random));
            set_column(ratios, boxes.size(), loads.back());
            boxes.push_back(drawn);
        }
        const std::size_t filled = boxes.size();
        std::vector<double> ratio(filled);
        const auto gone = std::make_unique<bool[]>(filled);
        batch->outputs(ratios, static_cast<int>(filled), ratio, {gone.get(), filled});
        for (std::size_t k = 0; k < filled; ++k) {
            const circuit::BoxOutput alone = circuit::Box(boxes[k].condition).output(loads[k]);
            REQUIRE(gone[k] == alone.reference_missing);
            REQUIRE(std::fabs(ratio[k] - alone.ratio) <= relative * std::fabs(alone.ratio) + last_bits);
            ++compared;
            missing += gone[k] ? 1 : 0;
            for (const scale::Cause cause : boxes[k].causes)
                ++with[static_cast<std::size_t>(scale::index_of(cause))];
        }
    }
    CHECK(compared > 3000);
    CHECK(missing > 0);
    for (const scale::Cause cause :
         {scale::Cause::upside_down, scale::Cause::open_wire, scale::Cause::loose_terminal,
          scale::Cause::altered_cable, scale::Cause::swapped_cells, scale::Cause::wrong_cell,
          scale::Cause::shifted_zero, scale::Cause::weak_output, scale::Cause::trim_off,
          scale::Cause::sense_open, scale::Cause::excitation_low, scale::Cause::home_run_loose}) {
        INFO(scale::name_of(cause));
        CHECK(with[static_cast<std::size_t>(scale::index_of(cause))] > 20);
    }
}

TEST_CASE("a batch refuses what its cells cannot be, and keeps what it has", "[circuit]") {
    Random random(61);
    int refused = 0;
    for (int round = 0; round < 300; ++round) {
        const int cells = 2 + pick(random, 8);
        const scale::Description d =
            random_description(random, cells, trim_choice(1), scale::Converter::summed);
        const Drawn drawn = any_box(random, d, cells);
        const bool takes = BoxBatch::accepts(drawn.condition);
        CAPTURE(round);
        if (takes ==
            has(drawn.causes, {scale::Cause::signal_pair_swapped, scale::Cause::excitation_pair_swapped,
                               scale::Cause::crossed_pairs, scale::Cause::shorted_wires,
                               scale::Cause::wet_leak, scale::Cause::damaged_arm})) {
            // An exchange done twice is none.
            REQUIRE(takes);
            REQUIRE(drawn.causes.size() == 2);
            REQUIRE(drawn.causes[0] == drawn.causes[1]);
        }
        if (takes) continue;
        ++refused;
        auto batch = std::make_unique<BoxBatch>();
        const scale::Condition sound = random_condition(random, d, cells);
        REQUIRE(batch->put(0, sound));
        REQUIRE_FALSE(batch->put(0, drawn.condition));
        const circuit::Ratios load = any_ratios(random);
        std::vector<double> ratios(scale::max_cells * columns);
        set_column(ratios, 0, load);
        double ratio = 0.0;
        std::vector<double> all(columns);
        batch->outputs(ratios, 1, all, {});
        ratio = all[0];
        REQUIRE(ratio == Approx(circuit::Box(sound).output(load).ratio).epsilon(relative).margin(last_bits));
    }
    CHECK(refused > 50);

    const scale::Condition shunt_alone =
        random_condition(random, random_description(random, 4, trim_choice(5), scale::Converter::summed), 4);
    CHECK_FALSE(BoxBatch::accepts(shunt_alone));
}

TEST_CASE("a batch takes boxes of one kind", "[circuit]") {
    Random random(62);
    const auto box = [&random](int cells, int trim, scale::Converter converter) {
        return random_condition(random, random_description(random, cells, trim_choice(trim), converter),
                                cells);
    };
    auto batch = std::make_unique<BoxBatch>();
    CHECK(batch->count() == 0);
    REQUIRE(batch->put(3, box(6, 1, scale::Converter::summed)));
    CHECK(batch->count() == 6);
    CHECK_FALSE(batch->put(0, box(5, 1, scale::Converter::summed)));
    CHECK_FALSE(batch->put(0, box(6, 3, scale::Converter::summed)));
    CHECK_FALSE(batch->put(0, box(6, 1, scale::Converter::per_cell)));
    CHECK(batch->put(0, box(6, 1, scale::Converter::summed)));
}

TEST_CASE("a cell put into its batch again is a box put again", "[circuit]") {
    Random random(63);
    for (int round = 0; round < 60; ++round) {
        const int cells = 1 + pick(random, scale::max_cells);
        const int choice = pick(random, trim_choices);
        if (choice == 5) continue;  // a shunt without mixing resistors
        const scale::Description d =
            random_description(random, cells, trim_choice(choice), any_converter(random));
        scale::Condition c = random_condition(random, d, cells);
        auto turned = std::make_unique<BoxBatch>();
        auto fresh = std::make_unique<BoxBatch>();
        REQUIRE(turned->put(7, c));
        const int position = pick(random, cells);
        c.positions[static_cast<unsigned>(position)].trim_at *= 0.5;
        c.positions[static_cast<unsigned>(position)].digital_gain *= 1.01;
        turned->put_cell(7, position, c);
        REQUIRE(fresh->put(7, c));
        std::vector<double> ratios(scale::max_cells * columns);
        set_column(ratios, 7, any_ratios(random));
        std::vector<double> a(columns);
        std::vector<double> b(columns);
        turned->outputs(ratios, 8, a, {});
        fresh->outputs(ratios, 8, b, {});
        REQUIRE(a[7] == b[7]);
    }
}

TEST_CASE("an empty batch, and one with nothing asked of it, leave their outputs alone", "[circuit]") {
    auto batch = std::make_unique<BoxBatch>();
    std::vector<double> ratio(columns, -1.0);
    const std::vector<double> ratios(scale::max_cells * columns, 1.0e-3);
    batch->outputs(ratios, 8, ratio, {});
    CHECK(ratio == std::vector<double>(columns, -1.0));
}
