#include "sim/faults/port_faults.h"

#include <cstddef>
#include <utility>

namespace cornerbench::faults {

namespace {

constexpr std::uint64_t first_stream = 2'000'000;

bool is_in_the_part(PortFaultKind kind) {
    return kind <= PortFaultKind::stuck;
}

}  // namespace

int PortFaults::add(const PortFault& fault) {
    const int number = ++last_number_;
    faults_.emplace(
        number,
        Running{fault, field::RandomSource(seed_, first_stream + static_cast<std::uint64_t>(number)), false});
    return number;
}

bool PortFaults::mend(int number) {
    return faults_.erase(number) > 0;
}

void PortFaults::in_the_part(const Running& running, hal::Frame& frame) const {
    const auto last = static_cast<std::int32_t>((std::int64_t{1} << (traits_.bits - 1)) - 1);
    for (int channel = 0; channel < traits_.channels; ++channel) {
        if (running.fault.channel >= 0 && running.fault.channel != channel) continue;
        const auto i = static_cast<std::size_t>(channel);
        switch (running.fault.kind) {
            case PortFaultKind::saturated:
                frame.code[i] = last;
                frame.fault[i] |= hal::sample_over_range;
                break;
            case PortFaultKind::reference_missing:
                frame.code[i] = 0;
                frame.fault[i] |= hal::sample_reference_missing;
                break;
            case PortFaultKind::transfer_failed:
                frame.code[i] = last_code_[i];
                frame.fault[i] |= hal::sample_bus_error;
                break;
            case PortFaultKind::not_new:
                frame.code[i] = last_code_[i];
                frame.fault[i] |= hal::sample_not_new;
                break;
            case PortFaultKind::stuck:
                frame.code[i] = last_code_[i];
                break;
            default:
                break;
        }
    }
}

void PortFaults::on_the_way(Running& running, hal::Frame& frame) const {
    const int channel = running.fault.channel < 0 ? 0 : running.fault.channel;
    if (channel >= traits_.channels) return;
    const auto i = static_cast<std::size_t>(channel);
    if (running.fault.kind == PortFaultKind::bit_flipped) {
        const int bit = running.fault.bit >= 0 ? running.fault.bit : running.random.index(traits_.bits);
        const auto flipped =
            static_cast<std::uint32_t>(frame.code[i]) ^ (1U << static_cast<unsigned>(bit % 32));
        frame.code[i] = static_cast<std::int32_t>(flipped);
    }
    const int other = running.fault.other;
    if (running.fault.kind == PortFaultKind::channels_exchanged && other >= 0 && other < traits_.channels) {
        std::swap(frame.code[i], frame.code[static_cast<std::size_t>(other)]);
    }
}

std::span<const hal::Frame> PortFaults::pass(const hal::Frame& clean) {
    out_.clear();
    if (faults_.empty() && late_.empty()) {
        last_code_ = clean.code;
        out_.push_back(clean);
        return out_;
    }
    hal::Frame frame = clean;
    bool touched = false;
    for (auto& [number, running] : faults_) {
        const PortFault& fault = running.fault;
        running.hit = clean.taken_us >= fault.begins_us && clean.taken_us < fault.ends_us &&
                      (fault.share >= 1.0 || running.random.share() < fault.share);
        if (!running.hit || !is_in_the_part(fault.kind)) continue;
        in_the_part(running, frame);
        touched = true;
    }
    if (touched) frame.check = hal::check_of(frame, traits_.channels);
    // What the part has last sent, whatever becomes of it.
    last_code_ = frame.code;
    bool lost = false;
    bool late = false;
    std::size_t times = 1;
    for (auto& [number, running] : faults_) {
        if (!running.hit) continue;
        on_the_way(running, frame);
        lost = lost || running.fault.kind == PortFaultKind::frames_lost;
        late = late || running.fault.kind == PortFaultKind::late;
        if (running.fault.kind == PortFaultKind::repeated) times = 2;
    }
    if (lost) return {};
    late_.insert(late_.end(), times, frame);
    if (late_.size() > most_late) late_.erase(late_.begin(), late_.end() - most_late);
    if (!late) out_.swap(late_);
    return out_;
}

}  // namespace cornerbench::faults
