#include "tests/circuit/ngspice.h"

#include <catch2/catch.hpp>
#include <iostream>

#include "tests/circuit/comparison.h"

using namespace cornerbench;
using namespace cornerbench::oracle;

namespace {

/// Loads each netlist into the one ngspice there is.
struct Spice {
    Ngspice& operator()(const Netlist& n) const {
        Ngspice::instance()->load(n);
        return *Ngspice::instance();
    }
};

bool skipped() {
    if (Ngspice::instance() != nullptr) return false;
    std::cout << "[SKIPPED] libngspice.so.0 is not installed\n";
    return true;
}

}  // namespace

// ngspice 39.3 is the oracle for all of these. Its supply stands at plus and minus half the excitation, which
// keeps its own cancellation error below 1e-12 of the signal.
TEST_CASE("ngspice reads what the core reads, for every electrical cause, variant and trim",
          "[circuit][long]") {
    if (skipped()) return;
    Random random(20);
    int networks = 0;
    Disagreement worst;
    for (int trim = 0; trim < trim_choices; ++trim) {
        for (const auto converter : {scale::Converter::summed, scale::Converter::per_cell}) {
            for (int i = 0; i < scale::cause_count; ++i) {
                const auto cause = static_cast<scale::Cause>(i);
                if (!electrical(cause)) continue;
                const scale::Description any = random_description(random, 2, trim_choice(trim), converter);
                for (int variant = 0; variant < scale::variant_count(any, cause); ++variant) {
                    const bool pair = cause == scale::Cause::swapped_cells;
                    const int cells = pair ? 2 + pick(random, 15) : 1 + pick(random, 16);
                    const scale::Description d =
                        random_description(random, cells, trim_choice(trim), converter);
                    scale::Condition c = random_condition(random, d, cells);
                    scale::apply(random_fault(random, d, cells, cause, variant), d, c);
                    // A signal line that only the converter's input still holds is beyond ngspice's doubles
                    // (1 S of home run beside 1e-10 S): there the long double solver checks the 1e-9.
                    const bool hangs = cause == scale::Cause::open_wire &&
                                       (cells == 1 || converter == scale::Converter::per_cell);
                    Comparison comparison(hangs ? 1.0e-7 : 1.0e-9);
                    compare_everything(random, c, random_forces(random), 1.0e-14, Spice{}, comparison);
                    CAPTURE(scale::name_of(cause), variant, trim, cells, comparison.worst().what);
                    REQUIRE(comparison.count() >= 8);
                    CHECK(comparison.worst().times_allowed <= 1.0);
                    if (comparison.worst().times_allowed > worst.times_allowed) worst = comparison.worst();
                    ++networks;
                }
            }
        }
    }
    INFO(worst.what << ", " << worst.times_allowed << " of what is allowed");
    CHECK(networks >= 300);
    CHECK(worst.times_allowed > 0.0);
}
