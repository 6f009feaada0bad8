#include "hal/recorded/expectation.h"

namespace cornerbench::hal {

namespace {

constexpr auto done = static_cast<std::int64_t>(Answer::done);

/// A step rarely receives, sends or programs what the one before did: what is expected is that nothing comes.
Call without_payload(Call call) {
    const bool counts = call.letter == call_receive || call.letter == call_keys || call.letter == call_send;
    if (counts && call.answered[0] == done) call.answered[1] = 0;
    return call;
}

}  // namespace

Call Expectation::next() const {
    const Step& before = steps_[1 - running_];
    if (place_ < before.count) return before.call[place_];
    Call call;
    call.letter = call_now;
    call.answered = {done, step_us_};
    return call;
}

void Expectation::learn(const Call& call) {
    if (call.letter == call_now) {
        ++step_;
        if (call.answered[0] == done) {
            time_us_ = wrapping_sum(time_us_, call.answered[1]);
            step_us_ = call.answered[1];
        }
        running_ = 1 - running_;
        steps_[running_].count = 0;
        place_ = 0;
        return;
    }
    Step& now = steps_[running_];
    if (now.count < calls_in_step) now.call[now.count++] = without_payload(call);

    const Step& before = steps_[1 - running_];
    for (std::size_t i = place_; i < before.count; ++i) {
        if (before.call[i].letter != call.letter) continue;
        place_ = i + 1;
        return;
    }
}

bool Expectation::is_regular(const Frame& frame) const {
    return frame.sequence == frame_.sequence + 1u && frame.fault == frame_.fault &&
           wrapping_difference(frame.taken_us, frame_.taken_us) == frame_distance_us_ &&
           frame.check == check_of(frame, channels_);
}

void Expectation::learn(const Frame& frame) {
    frame_distance_us_ = wrapping_difference(frame.taken_us, frame_.taken_us);
    frame_ = frame;
}

}  // namespace cornerbench::hal
