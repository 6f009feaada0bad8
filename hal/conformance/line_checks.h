#pragma once

#include <algorithm>
#include <array>
#include <cstdint>
#include <span>

#include "hal/conformance/clock_checks.h"

namespace cornerbench::hal {

inline void check_receiving(Rig& rig, Findings& findings) {
    Line& line = rig.board().line;
    std::array<std::uint8_t, 256> bytes{};
    for (std::size_t i = 0; i < bytes.size(); ++i) bytes[i] = static_cast<std::uint8_t>(i);
    if (!rig.peer_sends(bytes)) return findings.left_out();
    let_pass(rig, findings, 100'000);

    std::array<std::uint8_t, 100> part{};
    std::size_t next = 0;
    for (const std::size_t expected : {100u, 100u, 56u, 0u}) {
        std::size_t count = 99;
        const Answer answer = line.receive(part, count);
        CORNERBENCH_PROMISED(findings, answer == Answer::done && count == expected,
                             "as many bytes as fit, and 0 is no error");
        for (std::size_t i = 0; i < std::min(count, expected); ++i, ++next)
            CORNERBENCH_PROMISED(findings, part[i] == static_cast<std::uint8_t>(next),
                                 "bytes keep their order and value");
    }
}

inline void check_sending(Rig& rig, Findings& findings) {
    Line& line = rig.board().line;
    std::array<std::uint8_t, 4096> bytes{};
    for (std::size_t i = 0; i < bytes.size(); ++i) bytes[i] = static_cast<std::uint8_t>(i * 7 + i / 256);
    std::size_t offered = 0;
    std::size_t seen = 0;
    for (int turn = 0; turn < 1000 && offered < bytes.size(); ++turn) {
        std::size_t count = 9999;
        const auto rest = std::span<const std::uint8_t>(bytes).subspan(offered);
        const Answer answer = line.send(rest, count);
        if (!CORNERBENCH_PROMISED(findings, answer == Answer::done && count <= rest.size(),
                                  "count is how many bytes were taken over"))
            return;
        offered += count;
        let_pass(rig, findings, 100'000);
        std::array<std::uint8_t, 512> got{};
        std::size_t got_count = 0;
        while (rig.peer_takes(got, got_count) && got_count > 0)
            for (std::size_t i = 0; i < got_count; ++i, ++seen)
                CORNERBENCH_PROMISED(findings, seen < bytes.size() && got[i] == bytes[seen],
                                     "bytes keep their order and value on the way out");
    }
    CORNERBENCH_PROMISED(findings, offered == bytes.size(), "bytes offered again are taken in the end");
    std::size_t count = 99;
    CORNERBENCH_PROMISED(findings, line.send({}, count) == Answer::done && count == 0,
                         "nothing to send is no error");
}

inline void check_overrun(Rig& rig, Findings& findings) {
    Line& line = rig.board().line;
    if (!rig.overrun(0x55)) return findings.left_out();
    let_pass(rig, findings, 100'000);
    std::array<std::uint8_t, 64> bytes{};
    int failures = 0;
    std::size_t count = 1;
    for (int turn = 0; turn < 10'000 && (count > 0 || failures == 0); ++turn) {
        const Answer answer = line.receive(bytes, count);
        if (answer == Answer::failed) {
            ++failures;
            count = 0;
        } else if (answer != Answer::done) {
            break;
        }
        for (std::size_t i = 0; i < count; ++i)
            CORNERBENCH_PROMISED(findings, bytes[i] == 0x55, "bytes around an overrun are as they were sent");
    }
    CORNERBENCH_PROMISED(findings, failures == 1, "an overrun is told by one failed");
    check_receiving(rig, findings);
}

inline void check_disconnecting(Rig& rig, Findings& findings) {
    Line& line = rig.board().line;
    std::array<std::uint8_t, 8> bytes{};
    std::size_t count = 99;
    if (!rig.set_connected(false)) return findings.left_out();
    let_pass(rig, findings, 100'000);
    CORNERBENCH_PROMISED(findings, line.receive(bytes, count) == Answer::disconnected && count == 0,
                         "nobody there is disconnected on the way in, with a count of 0");
    count = 99;
    CORNERBENCH_PROMISED(findings, line.send(bytes, count) == Answer::disconnected && count == 0,
                         "nobody there is disconnected on the way out, with a count of 0");
    rig.set_connected(true);
    let_pass(rig, findings, 100'000);
    CORNERBENCH_PROMISED(findings, line.receive(bytes, count) == Answer::done && count == 0,
                         "a new peer finds the line empty");

    rig.set_connected(false);
    rig.set_connected(true);
    let_pass(rig, findings, 100'000);
    count = 99;
    CORNERBENCH_PROMISED(findings, line.send(bytes, count) == Answer::disconnected && count == 0,
                         "no byte meant for the old peer goes to the new one");
    CORNERBENCH_PROMISED(findings, line.receive(bytes, count) == Answer::disconnected,
                         "a peer that came for another is told by one disconnected");
    CORNERBENCH_PROMISED(findings, line.receive(bytes, count) == Answer::done, "by no more than one");
    check_receiving(rig, findings);
}

/// hal/line.h
inline void check_line(Rig& rig, Findings& findings) {
    check_receiving(rig, findings);
    check_sending(rig, findings);
    check_overrun(rig, findings);
    check_disconnecting(rig, findings);
}

}  // namespace cornerbench::hal
