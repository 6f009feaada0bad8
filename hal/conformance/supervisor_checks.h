#pragma once

#include "hal/conformance/clock_checks.h"

namespace cornerbench::hal {

/// hal/supervisor.h
inline void check_supervisor(Rig& rig, Findings& findings) {
    const Microseconds within = rig.board().supervisor.kick_within_us();
    CORNERBENCH_PROMISED(findings, within > 0, "there is time for a kick");

    if (rig.set_seal_open(true)) {
        CORNERBENCH_PROMISED(findings, rig.board().supervisor.seal_open(), "a broken seal is seen");
        rig.set_seal_open(false);
        CORNERBENCH_PROMISED(findings, !rig.board().supervisor.seal_open(), "a seal that is on is seen");
    } else {
        findings.left_out();
    }

    const Microseconds now = board_time(rig, findings);
    CORNERBENCH_PROMISED(findings, rig.board().supervisor.supply_good(now),
                         "the supply is good on the bench");
    if (rig.set_supply_good(false)) {
        CORNERBENCH_PROMISED(findings, !rig.board().supervisor.supply_good(now), "a low supply is seen");
        rig.set_supply_good(true);
        CORNERBENCH_PROMISED(findings, rig.board().supervisor.supply_good(now), "so is its recovery");
    } else {
        findings.left_out();
    }

    if (rig.cut_power())
        CORNERBENCH_PROMISED(findings, rig.board().supervisor.reset_cause() == ResetCause::power_on,
                             "after a power cut the cause is power-on");
    else
        findings.left_out();

    const ResetCause cause = rig.board().supervisor.reset_cause();
    for (int i = 0; i < 20; ++i) {
        const Answer answer = rig.board().supervisor.kick(board_time(rig, findings));
        CORNERBENCH_PROMISED(findings, answer == Answer::done, "a kick is taken");
        CORNERBENCH_PROMISED(findings, rig.board().supervisor.reset_cause() == cause,
                             "kicks in time keep the board from starting anew");
        if (i < 19) rig.pass(within / 2);
    }
    rig.pass(2 * within);
    CORNERBENCH_PROMISED(findings, rig.board().supervisor.reset_cause() == ResetCause::watchdog,
                         "without a kick the board starts anew and says why");
}

}  // namespace cornerbench::hal
