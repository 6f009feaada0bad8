#include "firmware/weighing/sample_check.h"

#include <cmath>

namespace cornerbench::weighing {

SampleCheck::SampleCheck(const hal::ConverterTraits& traits, const SampleCheckSettings& settings)
    : traits_(traits),
      settings_(settings),
      period_us_(1.0e9 / static_cast<double>(traits.rate_mHz)),
      least_code_(settings.least_V_per_V / traits.full_scale_V_per_V * std::ldexp(1.0, traits.bits - 1)) {}

NoWeight SampleCheck::judge_channel(int channel, const hal::Frame& frame) {
    const auto i = static_cast<std::size_t>(channel);
    const std::uint8_t fault = frame.fault[i];
    const std::int32_t code = frame.code[i];
    const std::int64_t end = std::int64_t{1} << (traits_.bits - 1);

    const bool same = running_ && code == code_[i];
    code_[i] = code;
    if (!same) alike_[i] = 1;
    if (same && alike_[i] < settings_.stuck_frames) ++alike_[i];

    if ((fault & hal::sample_reference_missing) != 0) return NoWeight::reference_missing;
    if ((fault & hal::sample_bus_error) != 0) return NoWeight::converter_error;
    if ((fault & hal::sample_not_new) != 0) return NoWeight::samples_stale;
    // The last code either way is taken for saturation too: a part may forget to say so.
    if ((fault & hal::sample_over_range) != 0 || code >= end - 1 || code <= -end) return NoWeight::saturated;
    if (fault != 0) return NoWeight::converter_error;
    if (traits_.channels > 1 && code < least_code_) return NoWeight::cell_backwards;
    if (settings_.stuck_frames > 0 && alike_[i] >= settings_.stuck_frames) return NoWeight::code_stuck;
    return NoWeight::none;
}

FrameVerdict SampleCheck::judge(const hal::Frame& frame) {
    FrameVerdict verdict;
    const std::uint32_t all = (1u << static_cast<unsigned>(traits_.channels)) - 1u;
    if (hal::check_of(frame, traits_.channels) != frame.check) {
        // Nothing in such a frame can be believed, its number and its time included.
        verdict.why = NoWeight::sum_disagrees;
        verdict.bad = all;
        if (running_) {
            ++sequence_;
            taken_us_ += static_cast<std::int64_t>(period_us_);
        }
        return verdict;
    }
    for (int channel = 0; channel < traits_.channels; ++channel) {
        const NoWeight why = judge_channel(channel, frame);
        if (why == NoWeight::none) continue;
        verdict.bad |= 1u << static_cast<unsigned>(channel);
        if (verdict.why != NoWeight::none && why >= verdict.why) continue;
        verdict.why = why;
        verdict.channel = channel;
    }
    if (verdict.bad == all) verdict.channel = -1;

    if (running_) {
        const std::uint32_t steps = frame.sequence - sequence_;
        const double due_us = static_cast<double>(steps) * period_us_;
        const auto passed_us = static_cast<double>(frame.taken_us - taken_us_);
        const bool in_order = steps >= 1 && steps < 0x8000'0000u;
        const bool in_time = std::fabs(passed_us - due_us) <= settings_.latest_share * period_us_;
        verdict.lost = in_order && steps - 1 < most_lost ? steps - 1 : most_lost;
        if (!in_order || !in_time) verdict.bad = all;
        if (verdict.lost > 0 || verdict.bad == all) {
            if (verdict.why == NoWeight::none) {
                verdict.why = NoWeight::samples_missing;
                verdict.channel = -1;
            }
        }
    }
    running_ = true;
    sequence_ = frame.sequence;
    taken_us_ = frame.taken_us;
    return verdict;
}

}  // namespace cornerbench::weighing
