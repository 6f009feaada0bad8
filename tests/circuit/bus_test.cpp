#include "firmware/circuit/bus.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "tests/circuit/comparison.h"

using namespace cornerbench;
using namespace cornerbench::oracle;

namespace {

/// All conductance at the weaker end of a pair of bus nodes, by cells.
double weaker_end(const circuit::PortSum& sum, int pair) {
    std::array<double, scale::wire_count> at{};
    double weaker = 0.0;
    for (const bool looking : {false, true}) {
        for (int a = 0; a < scale::wire_count; ++a) {
            for (int b = a + 1; b < scale::wire_count; ++b) {
                const int index = circuit::port_pair(a, b);
                const double g = sum[static_cast<unsigned>(index)];
                if (!looking) {
                    at[static_cast<unsigned>(a)] += g;
                    at[static_cast<unsigned>(b)] += g;
                } else if (index == pair) {
                    weaker = std::min(at[static_cast<unsigned>(a)], at[static_cast<unsigned>(b)]);
                }
            }
        }
    }
    return weaker;
}

}  // namespace

TEST_CASE("the ratio's gradient is the slope of laying a conductance between two bus nodes", "[circuit]") {
    Random random(7);
    double worst = 0.0;
    int compared = 0;
    for (int round = 0; round < 200; ++round) {
        const int cells = 1 + pick(random, 16);
        const scale::Description d = random_description(
            random, cells, trim_choice(pick(random, trim_choices)), scale::Converter::summed);
        const scale::Condition c = random_condition(random, d, cells);
        const circuit::Box box(c);
        const auto ratios = core_ratios(c, random_forces(random));
        circuit::PortSum sum{};
        for (int p = 0; p < cells; ++p)
            circuit::add_ports(sum, box.ports(p, ratios[static_cast<unsigned>(p)]));

        circuit::RatioGradient gradient{};
        const circuit::BusSolution s = box.bus().solve(sum, gradient);
        REQUIRE(s.ratio == box.bus().solve(sum).ratio);
        REQUIRE(s.ratio == box.output(ratios).ratio);

        for (int pair = 0; pair < circuit::port_pair_count; ++pair) {
            const double g = gradient[static_cast<unsigned>(pair)];
            const auto change = [&](double siemens) {
                circuit::PortSum more = sum;
                more[static_cast<unsigned>(pair)] += siemens;
                return box.bus().solve(more).ratio - s.ratio;
            };
            // One more conductance h changes a linear network's output by g h/(1 + c h), so two differences
            // give the slope g exactly, h as large as it likes.
            const double h = weaker_end(sum, pair);
            const double one = change(h);
            const double two = change(2.0 * h);
            if (std::fabs(one) < 1.0e-9) {
                // A floating shield: both stay below what a difference of doubles resolves.
                CHECK(std::fabs(g) * h < 1.0e-8);
                continue;
            }
            const double slope = 1.0 / (2.0 * h / one - 2.0 * h / two);
            worst = std::max(worst, std::fabs(g / slope - 1.0));
            ++compared;
        }
    }
    CHECK(worst < 1.0e-5);
    CHECK(compared > 1000);
}

TEST_CASE("a reference that is missing has no slope", "[circuit]") {
    scale::Condition c;
    c.cell_count = 0;
    c.home_run_ohm.fill(std::numeric_limits<double>::infinity());
    c.sense_fallback_ohm = 0.0;
    circuit::RatioGradient gradient{};
    gradient.fill(1.0);
    CHECK(circuit::Bus(c).solve({}, gradient).reference_missing);
    CHECK(gradient == circuit::RatioGradient{});
}
