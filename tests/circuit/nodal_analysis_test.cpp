#include "tests/circuit/nodal_analysis.h"

#include <catch2/catch.hpp>

#include "tests/circuit/comparison.h"

using namespace cornerbench;
using namespace cornerbench::oracle;

// Eigen's dense LU in long double of the same independent drawing as ngspice gets.
TEST_CASE("dense nodal analysis reads what the core reads, with up to three faults at once",
          "[circuit][long]") {
    Random random(21);
    const auto solve = [](const Netlist& n) { return NodalAnalysis<long double>(n); };
    Disagreement worst;
    for (int network = 0; network < 2000; ++network) {
        const int cells = 1 + pick(random, network % 8 == 0 ? 16 : 6);
        const auto converter = pick(random, 3) == 0 ? scale::Converter::per_cell : scale::Converter::summed;
        const int trim = pick(random, trim_choices);
        const scale::Description d = random_description(random, cells, trim_choice(trim), converter);
        scale::Condition c = random_condition(random, d, cells);
        std::string faults;
        for (int fault = pick(random, 4); fault > 0; --fault) {
            const auto cause = static_cast<scale::Cause>(pick(random, scale::cause_count));
            if (!electrical(cause) || (cause == scale::Cause::swapped_cells && cells < 2)) continue;
            const int variant = pick(random, scale::variant_count(d, cause));
            scale::apply(random_fault(random, d, cells, cause, variant), d, c);
            faults += std::string(scale::name_of(cause)) + " " + std::to_string(variant) + ", ";
        }
        Comparison comparison;
        compare_everything(random, c, random_forces(random), 1.0e-17, solve, comparison);
        CAPTURE(network, faults, trim, cells, comparison.worst().what);
        REQUIRE(comparison.count() >= 8);
        CHECK(comparison.worst().times_allowed <= 1.0);
        if (comparison.worst().times_allowed > worst.times_allowed) worst = comparison.worst();
    }
    INFO(worst.what << ", " << worst.times_allowed << " of what is allowed");
    CHECK(worst.times_allowed > 0.0);
}
