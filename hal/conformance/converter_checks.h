#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "hal/conformance/clock_checks.h"

namespace cornerbench::hal {

/// Everything waiting, thrown away.
inline void drain(Rig& rig, Findings& findings) {
    std::array<Frame, 16> frames{};
    std::size_t count = frames.size();
    for (int i = 0; i < 100 && count > 0; ++i) {
        const Answer answer = rig.board().converter.take(board_time(rig, findings), frames, count);
        if (!CORNERBENCH_PROMISED(findings, answer == Answer::done, "a converter that works answers done"))
            return;
    }
    CORNERBENCH_PROMISED(findings, count == 0, "count is 0 when all frames were taken");
}

/// One frame of codes that tell the channels and `mark` apart.
inline bool convert_marked(Rig& rig, std::int32_t mark, int channels) {
    std::array<std::int32_t, max_channels> codes{};
    for (std::size_t i = 0; i < codes.size(); ++i) codes[i] = mark + static_cast<std::int32_t>(i) * 1000;
    return rig.convert(std::span(codes).first(static_cast<std::size_t>(channels)));
}

inline void check_frames_in_order(Rig& rig, Findings& findings) {
    const ConverterTraits traits = rig.board().converter.traits();
    drain(rig, findings);
    const Microseconds start = board_time(rig, findings);
    for (std::int32_t mark = 1; mark <= 5; ++mark) {
        let_pass(rig, findings, 10'000);
        if (!convert_marked(rig, mark, traits.channels)) return findings.left_out();
    }
    const Microseconds now = board_time(rig, findings);
    std::array<Frame, 3> frames{};
    Frame last;
    std::int32_t mark = 0;
    for (const std::size_t expected : {3u, 2u, 0u}) {
        std::size_t count = 99;
        const Answer answer = rig.board().converter.take(now, frames, count);
        if (!CORNERBENCH_PROMISED(findings, answer == Answer::done && count == expected,
                                  "as many frames as fit, count says how many, and 0 is no error"))
            return;
        for (std::size_t i = 0; i < count; ++i) {
            const Frame& frame = frames[i];
            ++mark;
            CORNERBENCH_PROMISED(findings, frame.code[0] == mark, "frames come out once, oldest first");
            CORNERBENCH_PROMISED(findings, mark == 1 || frame.sequence == last.sequence + 1u,
                                 "the sequence counts every frame");
            CORNERBENCH_PROMISED(findings, frame.taken_us > (mark == 1 ? start : last.taken_us),
                                 "stamps are the end of the conversion");
            CORNERBENCH_PROMISED(findings, frame.taken_us <= now, "frames converted up to now");
            CORNERBENCH_PROMISED(findings, frame.check == check_of(frame, traits.channels),
                                 "check is check_of the frame");
            for (std::size_t c = 0; c < static_cast<std::size_t>(traits.channels); ++c)
                CORNERBENCH_PROMISED(findings,
                                     frame.fault[c] == sample_good &&
                                         frame.code[c] == mark + static_cast<std::int32_t>(c) * 1000,
                                     "every channel's sample is its own");
            last = frame;
        }
    }
    std::size_t count = 99;
    const Answer answer = rig.board().converter.take(now, {}, count);
    CORNERBENCH_PROMISED(findings, answer == Answer::done && count == 0, "no room is no error");
}

/// Converts once and takes the frame that came; false when none did.
inline bool next_frame(Rig& rig, Findings& findings, Frame& frame) {
    std::size_t count = 0;
    const Answer answer =
        rig.board().converter.take(board_time(rig, findings), std::span<Frame>(&frame, 1), count);
    return CORNERBENCH_PROMISED(findings, answer == Answer::done && count == 1,
                                "a frame comes whatever its part could convert");
}

inline void check_faults(Rig& rig, Findings& findings) {
    const ConverterTraits traits = rig.board().converter.traits();
    const int last = traits.channels - 1;
    const auto last_index = static_cast<std::size_t>(last);
    drain(rig, findings);
    Frame before;
    Frame frame;
    let_pass(rig, findings, 10'000);
    if (!convert_marked(rig, 70, traits.channels)) return findings.left_out();
    if (!next_frame(rig, findings, before)) return;

    let_pass(rig, findings, 10'000);
    if (rig.lose_frame()) {
        let_pass(rig, findings, 10'000);
        if (convert_marked(rig, 71, traits.channels) && next_frame(rig, findings, frame))
            CORNERBENCH_PROMISED(findings, frame.sequence == before.sequence + 2u,
                                 "the sequence has the gap of a lost frame");
    } else {
        findings.left_out();
    }

    let_pass(rig, findings, 10'000);
    if (rig.convert_with_bus_error(last)) {
        if (next_frame(rig, findings, frame)) {
            CORNERBENCH_PROMISED(findings, (frame.fault[last_index] & sample_bus_error) != 0,
                                 "a frame whose part could not convert comes with its fault");
            CORNERBENCH_PROMISED(findings, frame.check == check_of(frame, traits.channels),
                                 "a frame with a fault has its check");
        }
    } else {
        findings.left_out();
    }

    let_pass(rig, findings, 10'000);
    std::array<std::int32_t, max_channels> codes{};
    codes.fill(2'147'483'647);
    if (traits.bits < 32 && rig.convert(std::span(codes).first(static_cast<std::size_t>(traits.channels)))) {
        if (next_frame(rig, findings, frame)) {
            CORNERBENCH_PROMISED(findings, (frame.fault[0] & sample_over_range) != 0,
                                 "a saturated sample says so");
            CORNERBENCH_PROMISED(findings, frame.code[0] <= (std::int64_t{1} << (traits.bits - 1)) - 1,
                                 "codes lie within the part's bits");
        }
    } else {
        findings.left_out();
    }
}

inline void check_selection(Rig& rig, Findings& findings) {
    Converter& converter = rig.board().converter;
    const ConverterTraits traits = converter.traits();
    const auto every =
        static_cast<std::uint32_t>((std::uint64_t{1} << static_cast<unsigned>(traits.channels)) - 1u);
    Frame frame;
    drain(rig, findings);
    if (traits.channels < 32)
        CORNERBENCH_PROMISED(findings, converter.select(Excitation::off, every + 1u) == Answer::bad_argument,
                             "a bit beyond the channels is a bad argument");
    let_pass(rig, findings, 10'000);
    if (!convert_marked(rig, 80, traits.channels)) return findings.left_out();
    if (next_frame(rig, findings, frame))
        CORNERBENCH_PROMISED(findings, frame.fault[0] == sample_good, "after a bad argument nothing changed");

    CORNERBENCH_PROMISED(findings, converter.select(Excitation::forward, every & ~1u) == Answer::done,
                         "some of the channels can be chosen");
    let_pass(rig, findings, 1'000'000);
    drain(rig, findings);
    if (!convert_marked(rig, 90, traits.channels)) return findings.left_out();
    if (next_frame(rig, findings, frame)) {
        CORNERBENCH_PROMISED(findings, (frame.fault[0] & sample_not_new) != 0,
                             "frames go on; a channel not chosen is not new");
        for (std::size_t c = 1; c < static_cast<std::size_t>(traits.channels); ++c)
            CORNERBENCH_PROMISED(findings, frame.fault[c] == sample_good, "a chosen channel is converted");
    }
    CORNERBENCH_PROMISED(findings, converter.select(Excitation::forward, every) == Answer::done,
                         "every channel can be chosen");
    let_pass(rig, findings, 1'000'000);
    drain(rig, findings);
}

/// hal/converter.h
inline void check_converter(Rig& rig, Findings& findings) {
    const ConverterTraits traits = rig.board().converter.traits();
    CORNERBENCH_PROMISED(findings, traits.channels >= 1 && traits.channels <= max_channels,
                         "at least one channel, at most max_channels");
    CORNERBENCH_PROMISED(findings, traits.bits >= 2 && traits.bits <= 32, "codes fit their type");
    CORNERBENCH_PROMISED(findings, traits.rate_mHz > 0 && traits.full_scale_V_per_V > 0.0,
                         "rate and full scale are positive");
    check_frames_in_order(rig, findings);
    check_faults(rig, findings);
    check_selection(rig, findings);
    CORNERBENCH_PROMISED(findings, rig.board().converter.traits() == traits, "traits are fixed");
}

}  // namespace cornerbench::hal
