#include <algorithm>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <memory>
#include <string>
#include <vector>

#include "firmware/circuit/box_batch.h"
#include "tests/benchmark/benchmarks.h"
#include "tests/benchmark/cost_chart.h"
#include "tests/benchmark/dense_circuit.h"
#include "tests/benchmark/timing.h"
#include "tests/circuit/ngspice.h"
#include "tests/circuit/weighbridge.h"
#include "tests/random_scale.h"

using namespace cornerbench;

namespace {

constexpr int columns = circuit::BoxBatch::columns;

/// Boxes that differ in every part, each under its own load.
struct Boxes {
    std::vector<scale::Condition> conditions;
    std::vector<oracle::Forces> force_N;
    std::vector<circuit::Ratios> ratios;
    std::vector<double> by_column = std::vector<double>(scale::max_cells * columns);

    explicit Boxes(int cells) {
        scale::Description d = oracle::weighbridge();
        d.deck.sections = cells / 2;
        for (int s = 0; s < d.deck.sections; ++s) d.deck.section_x_m[static_cast<unsigned>(s)] = 6.0 * s;
        tests::Draw draw(80);
        for (int k = 0; k < columns; ++k) {
            conditions.push_back(tests::random_sample(draw, d));
            oracle::Forces force;
            circuit::Ratios ratio{};
            for (unsigned i = 0; i < scale::max_cells; ++i) {
                force.push_back(draw.uniform(1.0e4, 2.0e5));
                ratio[i] = circuit::bridge_ratio(conditions.back().cells[i], force[i]);
                by_column[i * columns + static_cast<unsigned>(k)] = ratio[i];
            }
            force_N.push_back(force);
            ratios.push_back(ratio);
        }
    }
};

/// How a solver did: seconds a box, the quickest and the middle one, and its largest difference from a Box.
struct Solver {
    const char* name;
    double quickest_s = 0.0;
    double median_s = 0.0;
    double off = 0.0;
};

double spice_ratio(oracle::Ngspice& spice) {
    const auto across = [&](const char* plus, const char* minus) {
        return spice.volt(plus).value_or(NAN) - spice.volt(minus).value_or(NAN);
    };
    return across("indicator_sig_plus", "indicator_sig_minus") /
           across("indicator_sense_plus", "indicator_sense_minus");
}

std::vector<Solver> compare(int cells, int rounds) {
    const Boxes boxes(cells);
    auto batch = std::make_unique<circuit::BoxBatch>();
    std::vector<double> out(columns);
    const auto lay_out = [&] {
        for (int k = 0; k < columns; ++k) batch->put(k, boxes.conditions[static_cast<unsigned>(k)]);
    };
    const auto solve = [&] {
        batch->outputs(boxes.by_column, columns, out, {});
        benchmark::keep(out.front());
    };
    const auto both = [&] {
        lay_out();
        solve();
    };
    int next = 0;
    const auto alone = [&] {
        const auto at = static_cast<unsigned>(next++ % columns);
        benchmark::keep(circuit::Box(boxes.conditions[at]).output(boxes.ratios[at]).ratio);
    };
    const benchmark::DenseCircuit dense(boxes.conditions[0], boxes.force_N[0]);
    const auto eigen = [&] { benchmark::keep(dense.ratio()); };
    oracle::Ngspice* spice = oracle::Ngspice::instance();
    if (spice != nullptr) spice->load(oracle::draw_box(boxes.conditions[0], boxes.force_N[0]));
    const auto ngspice = [&] {
        if (spice == nullptr) return;
        spice->solve_again();
        benchmark::keep(spice_ratio(*spice));
    };

    both();
    double off = 0.0;
    for (unsigned k = 0; k < columns; ++k)
        off = std::max(off,
                       std::fabs(out[k] - circuit::Box(boxes.conditions[k]).output(boxes.ratios[k]).ratio));
    const auto taken = benchmark::timed(rounds, 0.003, solve, both, alone, eigen, ngspice);
    std::vector<Solver> solvers;
    const auto add = [&](const char* name, double boxes_a_call, double difference) {
        const std::vector<double>& of_this = taken[solvers.size()];
        solvers.push_back(
            {name, of_this.front() / boxes_a_call, of_this[of_this.size() / 2] / boxes_a_call, difference});
    };
    const double alone_ratio = circuit::Box(boxes.conditions[0]).output(boxes.ratios[0]).ratio;
    add("batch", columns, off);
    add("batch, parts laid out", columns, off);
    add("one box at a time", 1.0, 0.0);
    add("Eigen PartialPivLU", 1.0, std::fabs(dense.ratio() - alone_ratio));
    if (spice != nullptr) add("libngspice", 1.0, std::fabs(spice_ratio(*spice) - alone_ratio));
    return solvers;
}

}  // namespace

void benchmark::boxes(const char* svg_path) {
    std::printf(
        "\nboxes that differ in every part: element values to the converter's ratio, all but Eigen, which "
        "only\n"
        "factors and solves, and libngspice, which only solves again what it has loaded; 101 rounds in turn\n"
        "                          quickest      median     boxes /s   x batch's   off, V/V\n");
    const std::vector<Solver> eight = compare(8, 101);
    for (const Solver& s : eight) {
        std::printf("  %-22s %9.3f us %9.3f us %12.0f %11.1f   %8.1e\n", s.name, 1.0e6 * s.quickest_s,
                    1.0e6 * s.median_s, 1.0 / s.quickest_s, s.quickest_s / eight.front().quickest_s, s.off);
    }

    std::printf("\ncost against cells, us a box, the quickest of 25\n  cells");
    std::vector<CostCurve> curves;
    for (int cells = 4; cells <= scale::max_cells; cells += 2) {
        const std::vector<Solver> solvers = compare(cells, 25);
        if (curves.empty()) {
            for (const Solver& s : solvers) {
                curves.push_back({s.name, {}});
                std::printf("  %22s", s.name);
            }
            std::printf("\n");
        }
        std::printf("  %5d", cells);
        for (std::size_t i = 0; i < solvers.size(); ++i) {
            curves[i].points.push_back({cells, 1.0e6 * solvers[i].quickest_s});
            std::printf("  %22.3f", 1.0e6 * solvers[i].quickest_s);
        }
        std::printf("\n");
    }
    if (svg_path == nullptr) return;
    std::ofstream file(svg_path);
    draw_costs(file, curves);
    if (!file.flush()) std::fprintf(stderr, "%s: cannot be written\n", svg_path);
}
