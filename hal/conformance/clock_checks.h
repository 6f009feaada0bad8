#pragma once

#include <algorithm>

#include "hal/conformance/findings.h"
#include "hal/conformance/rig.h"

namespace cornerbench::hal {

/// Time by the board's clock; a clock that fails is a breach.
inline Microseconds board_time(Rig& rig, Findings& findings) {
    Microseconds now = 0;
    CORNERBENCH_PROMISED(findings, rig.board().clock.now(now) == Answer::done, "the clock runs");
    return now;
}

/// Lets time pass with the watchdog kept quiet.
inline void let_pass(Rig& rig, Findings& findings, Microseconds us) {
    const Microseconds most = std::max<Microseconds>(rig.board().supervisor.kick_within_us() / 2, 1);
    do {
        const Answer answer = rig.board().supervisor.kick(board_time(rig, findings));
        CORNERBENCH_PROMISED(findings, answer == Answer::done, "a kick is taken");
        const Microseconds part = std::min(us, most);
        rig.pass(part);
        us -= part;
    } while (us > 0);
}

/// hal/clock.h
inline void check_clock(Rig& rig, Findings& findings) {
    Microseconds before = board_time(rig, findings);
    for (int i = 0; i < 20; ++i) {
        let_pass(rig, findings, i % 3 == 0 ? 0 : 1 + 997 * i);
        const Microseconds now = board_time(rig, findings);
        CORNERBENCH_PROMISED(findings, now >= before, "the value never decreases");
        before = now;
    }
    let_pass(rig, findings, 100'000);
    CORNERBENCH_PROMISED(findings, board_time(rig, findings) > before, "time goes on");
}

}  // namespace cornerbench::hal
