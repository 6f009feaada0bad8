#include <catch2/catch.hpp>

#include "sim/netlist/scale_circuit.h"
#include "tests/circuit/nodal_analysis.h"
#include "tests/random_scale.h"
#include "tests/world/random_fault.h"

using namespace cornerbench;
using namespace cornerbench::tests;

TEST_CASE("the excitation current is what the supply's plus pole delivers", "[netlist]") {
    // The drawing's supply in Eigen's dense nodal analysis (long double) is the reference.
    int compared = 0;
    for (int number = 0; number < 24; ++number) {
        Draw draw(static_cast<std::uint64_t>(number) + 32000);
        scale::Description d = random_description(draw, static_cast<Adjusting>(number % adjusting_count));
        if (d.deck.sections > 3) d.deck.sections = 3;
        scale::Cause cause{};
        do cause = static_cast<scale::Cause>(draw.integer(1, scale::cause_count - 2));
        while (!scale::possible(d, cause));
        const std::array faults{random_fault(draw, d, cause)};
        const netlist::ScaleCircuit circuit = netlist::circuit_of(d, faults, {});
        if (circuit.deck.error != mechanics::DeckError::none) continue;
        const oracle::NodalAnalysis<long double> dense(circuit.drawing);
        double theirs = 0.0;
        if (d.converter == scale::Converter::summed) {
            theirs = static_cast<double>(dense.ampere("supply_plus"));
        } else {
            for (int p = 1; p <= d.cell_count(); ++p)
                theirs += static_cast<double>(dense.ampere("supply" + std::to_string(p) + "_plus"));
        }
        CAPTURE(number, scale::name_of(cause));
        CHECK(netlist::excitation_A(circuit) == Approx(theirs).epsilon(1.0e-9));
        ++compared;
    }
    CHECK(compared > 15);
}
