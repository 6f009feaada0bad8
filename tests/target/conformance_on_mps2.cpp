#include <string_view>

#include "hal/conformance/check_board.h"
#include "hal/cortex_m/program.h"
#include "tests/target/mps2_rig.h"

// Holds the board's own parts to the ports' contracts, then lets the watchdog bite and sees whether the board
// starts anew and knows why. The third UART says what came of it. Exit status: 0 all kept, 1 not.

namespace cornerbench {

namespace {

/// Over a reset: that everything before the watchdog was well.
constexpr std::uint32_t well_mark = 0x7765'6C6C;
__attribute__((section(".noinit"))) volatile std::uint32_t well;

const target::PolledUart& console() {
    static const target::PolledUart uart{0x4000'6000};
    return uart;
}

void say(std::string_view text) {
    for (const char each : text) console().put(static_cast<std::uint8_t>(each));
}

void say(std::size_t number) {
    if (number >= 10) say(number / 10);
    console().put(static_cast<std::uint8_t>('0' + number % 10));
}

/// Everything but the supervisor's last check, which starts the board anew.
void check_parts(target::Mps2Rig& rig, hal::Findings& findings) {
    check_clock(rig, findings);
    check_converter(rig, findings);
    check_line(rig, findings);
    check_panel(rig, findings);
    check_memory(rig, findings);
    CORNERBENCH_PROMISED(findings, rig.board().supervisor.reset_cause() == hal::ResetCause::power_on,
                         "after a power cut the cause is power-on");
    CORNERBENCH_PROMISED(findings, rig.board().supervisor.supply_good(0), "the supply is good on the bench");
    // Twice as long as the watchdog waits, with kicks: no start.
    let_pass(rig, findings, 2 * rig.board().supervisor.kick_within_us());
}

}  // namespace

int cortex_m::run_program() {
    static target::Mps2Rig rig;
    if (rig.board().supervisor.reset_cause() == hal::ResetCause::watchdog) {
        say("without a kick it started anew and knew why\n");
        return well == well_mark ? 0 : 1;
    }
    well = 0;
    static hal::Findings findings;
    check_parts(rig, findings);
    say(findings.checks());
    say(" checks, ");
    say(findings.left_out_checks());
    say(" left out\n");
    for (std::size_t i = 0; i < findings.breaches() && i < 16; ++i) {
        say("broken: ");
        say(findings.breach(i).promise);
        say("\n");
    }
    if (findings.breaches() != 0) return 1;
    well = well_mark;
    rig.pass(3 * rig.board().supervisor.kick_within_us());
    say("broken: without a kick the board starts anew\n");
    return 1;
}

}  // namespace cornerbench
