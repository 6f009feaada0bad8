#include "sim/faults/fault_list.h"

#include <algorithm>

namespace cornerbench::faults {

namespace {

constexpr std::uint64_t first_stream = 1'000'000;

}  // namespace

int FaultList::add(const scale::Description& description, const Scheduled& scheduled, double now_s) {
    const int number = ++last_number_;
    const field::RandomSource random(seed_, first_stream + static_cast<std::uint64_t>(number));
    running_.emplace(number, RunningFault(description, scheduled, now_s, random));
    find_next();
    return number;
}

bool FaultList::mend(int number) {
    const auto found = running_.find(number);
    if (found == running_.end()) return false;
    found->second.mend();
    find_next();
    return true;
}

void FaultList::find_next() {
    next_s_ = std::numeric_limits<double>::infinity();
    for (const auto& [number, fault] : running_) next_s_ = std::min(next_s_, fault.next_s());
}

bool FaultList::step_to(double now_s) {
    if (now_s < next_s_) return false;
    bool changed = false;
    for (auto at = running_.begin(); at != running_.end();) {
        changed = at->second.step_to(now_s) || changed;
        at = at->second.over() ? running_.erase(at) : std::next(at);
    }
    find_next();
    return changed;
}

const RunningFault* FaultList::find(int number) const {
    const auto found = running_.find(number);
    return found == running_.end() ? nullptr : &found->second;
}

FaultList::ContactOwners FaultList::apply(const scale::Description& description, scale::Condition& c) const {
    ContactOwners owners{};
    for (const auto& [number, fault] : running_) {
        if (!fault.present()) continue;
        const int contacts = c.contact_count;
        scale::apply(fault.fault(), description, c);
        for (int i = contacts; i < c.contact_count; ++i) owners[static_cast<std::size_t>(i)] = number;
    }
    return owners;
}

}  // namespace cornerbench::faults
