#include "hal/simulated/simulated_converter.h"

#include <algorithm>

namespace cornerbench::hal {

SimulatedConverter::SimulatedConverter(const ConverterTraits& traits) : traits_(traits) {
    traits_.channels = std::clamp(traits.channels, 1, max_channels);
    traits_.bits = std::clamp(traits.bits, 2, 32);
    start();
}

Answer SimulatedConverter::select(Excitation excitation, std::uint32_t channels) {
    if ((channels & ~every_channel()) != 0) return Answer::bad_argument;
    if (answer_ != Answer::done) return answer_;
    excitation_ = excitation;
    channels_ = channels;
    return Answer::done;
}

Answer SimulatedConverter::take(Microseconds now, std::span<Frame> frames, std::size_t& count) {
    count = 0;
    if (answer_ != Answer::done) return answer_;
    while (count < frames.size() && frames_.size() > 0 && frames_.front().taken_us <= now) {
        frames[count++] = frames_.front();
        frames_.pop();
    }
    return Answer::done;
}

void SimulatedConverter::push(Microseconds taken_us, std::span<const std::int32_t> codes,
                              std::span<const std::uint8_t> faults) {
    const auto top = static_cast<std::int32_t>((std::int64_t{1} << (traits_.bits - 1)) - 1);
    const std::int32_t bottom = -top - 1;

    Frame frame;
    frame.sequence = sequence_;
    frame.taken_us = taken_us;
    for (std::size_t i = 0; i < static_cast<std::size_t>(traits_.channels); ++i) {
        const std::int32_t wanted = i < codes.size() ? codes[i] : 0;
        unsigned fault = i < faults.size() ? faults[i] : 0u;
        if (excitation_ == Excitation::off) fault |= sample_reference_missing;
        if ((channels_ >> i & 1u) == 0) fault = sample_not_new;
        if (wanted < bottom || wanted > top) fault |= sample_over_range;
        const bool old = (fault & (sample_not_new | sample_bus_error)) != 0;
        if (old) fault &= ~static_cast<unsigned>(sample_over_range);
        frame.code[i] = old ? last_code_[i] : std::clamp(wanted, bottom, top);
        frame.fault[i] = static_cast<std::uint8_t>(fault);
        last_code_[i] = frame.code[i];
    }
    frame.check = check_of(frame, traits_.channels);
    push_as_is(frame);
}

void SimulatedConverter::push_as_is(const Frame& frame) {
    if (frames_.size() == frames_.capacity()) frames_.pop();
    frames_.push(frame);
    sequence_ = frame.sequence + 1u;
}

void SimulatedConverter::start() {
    frames_.clear();
    last_code_.fill(0);
    excitation_ = Excitation::forward;
    channels_ = every_channel();
}

}  // namespace cornerbench::hal
