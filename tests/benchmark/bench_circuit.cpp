#include <cmath>
#include <cstdio>
#include <vector>

#include "firmware/circuit/batch.h"
#include "tests/benchmark/benchmarks.h"
#include "tests/benchmark/dense_circuit.h"
#include "tests/benchmark/timing.h"
#include "tests/circuit/weighbridge.h"

using namespace cornerbench;

namespace {

constexpr int variants = 256;

void measure(int cells) {
    scale::Description d = oracle::weighbridge();
    d.deck.sections = cells / 2;
    for (int s = 0; s < d.deck.sections; ++s) d.deck.section_x_m[static_cast<unsigned>(s)] = 6.0 * s;
    const scale::Condition c = scale::sound_condition(d);
    oracle::Forces force_N;
    for (int i = 0; i < scale::max_cells; ++i) force_N.push_back(2.0e4 + 7.0e3 * i);
    circuit::Ratios ratios{};
    for (int i = 0; i < cells; ++i) {
        const auto at = static_cast<unsigned>(i);
        ratios[at] = circuit::bridge_ratio(c.cells[at], force_N[at]);
    }

    const benchmark::DenseCircuit dense(c, force_N);
    const circuit::Box box(c);
    const double difference = std::fabs(box.output(ratios).ratio - dense.ratio());
    const auto full = [&] { benchmark::keep(circuit::Box(c).output(ratios).ratio); };
    const auto load_only = [&] { benchmark::keep(box.output(ratios).ratio); };
    const auto eigen = [&] { benchmark::keep(dense.ratio()); };

    std::vector<double> many(static_cast<std::size_t>(cells * variants));
    for (int i = 0; i < cells * variants; ++i) {
        many[static_cast<std::size_t>(i)] =
            ratios[static_cast<unsigned>(i / variants)] * (1.0 + 1.0e-3 * (i % variants));
    }
    std::vector<double> read(variants);
    const auto batch = [&] {
        circuit::outputs(box, many, variants, {read, {}, {}, {}});
        benchmark::keep(read.front());
    };
    std::vector<double> taken = benchmark::medians(15, 0.02, full, load_only, batch, eigen);
    taken[2] /= variants;

    std::printf("\n%d cells; dense network of %d nodes; ratios differ by %.1e V/V\n", cells,
                static_cast<int>(dense.nodes()), difference);
    const char* names[] = {"build and solve", "new load only", "new loads, by batches", "Eigen PartialPivLU"};
    for (std::size_t i = 0; i < taken.size(); ++i) {
        std::printf("  %-22s %9.3f us  %11.0f /s  %8.1f x Eigen\n", names[i], 1.0e6 * taken[i],
                    1.0 / taken[i], taken.back() / taken[i]);
    }
}

}  // namespace

void benchmark::circuit() {
    std::printf(
        "circuit: medians of 15 interleaved measurements; Eigen only factors and solves, ours wires up as "
        "well\n");
    for (const int cells : {8, 16}) measure(cells);
}
