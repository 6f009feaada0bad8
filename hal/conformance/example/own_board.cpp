#include <cstdio>

#include "hal/conformance/check_board.h"
#include "hal/conformance/simulated_rig.h"

using namespace cornerbench::hal;

namespace {

/// Yours in place of this one.
class OwnRig final : public SimulatedRig {
    using SimulatedRig::SimulatedRig;
};

}  // namespace

int main() {
    OwnRig rig(boards_to_check().front());
    Findings findings;
    check_board(rig, findings);
    std::printf("%u checks, %u left out, %u broken\n", static_cast<unsigned>(findings.checks()),
                static_cast<unsigned>(findings.left_out_checks()),
                static_cast<unsigned>(findings.breaches()));
    for (std::size_t i = 0; i < findings.breaches() && i < 16; ++i)
        std::printf("broken: %s (%s:%d)\n", findings.breach(i).promise, findings.breach(i).file,
                    findings.breach(i).line);
    return findings.breaches() == 0 ? 0 : 1;
}
