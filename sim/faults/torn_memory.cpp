#include "sim/faults/torn_memory.h"

#include <algorithm>

#include "sim/field/random_source.h"

namespace cornerbench::faults {

namespace {

/// `value` programmed over `byte`: bits leave the erased state and do not come back.
std::uint8_t programmed(std::uint8_t byte, std::uint8_t value, std::uint8_t erased) {
    const unsigned out = (byte ^ erased) | (value ^ erased);
    return static_cast<std::uint8_t>(out ^ erased);
}

constexpr std::uint32_t erase_half = 1;
constexpr std::uint32_t erase_all_weak = 2;
constexpr std::uint32_t erase_unreported = 3;

}  // namespace

TornMemory::TornMemory(const hal::MemoryGeometry& geometry)
    : geometry_(geometry),
      before_(std::size_t{geometry.block_size} * geometry.block_count, geometry.erased_value),
      after_(before_),
      synced_before_(before_),
      synced_after_(before_),
      left_by_(before_.size(), 0) {}

std::string TornMemory::refuses(const Operation& operation, const MemoryCut& cut) {
    std::uint32_t reached = 0;
    if (operation.kind == Kind::program) reached = operation.units;
    if (operation.kind == Kind::erase) reached = erase_unreported;
    if (cut.reached > reached)
        return "no operation there reaches " + std::to_string(cut.reached) + "; valid: 0 to " +
               std::to_string(reached);
    if (operation.unsynced >= 32 || cut.lost >> operation.unsynced != 0)
        return "what a sync has ended is not lost; operations not synced there: " +
               std::to_string(operation.unsynced);
    if (static_cast<int>(cut.reads) >= weak_reads_count) return "weak bits read in none of these ways";
    return {};
}

std::string TornMemory::refuses(const MemoryWear& wear) {
    if (wear.kind > MemoryWear::Kind::bit_sticks) return "no part is worn in such a way";
    if (wear.kind != MemoryWear::Kind::none && wear.times == 0) return "wear that never shows is none";
    return {};
}

void TornMemory::plan(const MemoryCut& cut, std::uint64_t seed) {
    cut_planned_ = true;
    cut_ = cut;
    random_ = seed;
}

void TornMemory::start() {
    busy_ = false;
    off_ = false;
    cut_planned_ = false;
    refusal_.clear();
    last_ = hal::Answer::done;
    operations_.clear();
    for (Left& left : left_) ++left.starts;
}

void TornMemory::fill(std::span<const std::uint8_t> bytes) {
    const std::size_t size = std::min(bytes.size(), before_.size());
    for (auto* image : {&before_, &after_, &synced_before_, &synced_after_})
        std::copy_n(bytes.begin(), size, image->begin());
}

std::uint8_t TornMemory::weak_byte(std::uint32_t at) {
    const Left& left = left_[left_by_[at]];
    switch (left.reads) {
        case WeakReads::as_before:
            return before_[at];
        case WeakReads::as_after:
            return after_[at];
        case WeakReads::first_before:
            return left.starts <= 1 ? before_[at] : after_[at];
        case WeakReads::first_after:
            return left.starts <= 1 ? after_[at] : before_[at];
        case WeakReads::scattered:
            break;
    }
    const auto pick = static_cast<std::uint8_t>(field::RandomSource(random_++).bits());
    return static_cast<std::uint8_t>((before_[at] & pick) | (after_[at] & ~pick));
}

hal::Answer TornMemory::read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) {
    if (block >= geometry_.block_count || offset > geometry_.block_size ||
        bytes.size() > geometry_.block_size - offset)
        return hal::Answer::bad_argument;
    if (off_) return hal::Answer::failed;
    if (busy_) return hal::Answer::busy;
    const std::uint32_t place = block * geometry_.block_size + offset;
    for (std::uint32_t i = 0; i < bytes.size(); ++i)
        bytes[i] = before_[place + i] == after_[place + i] ? before_[place + i] : weak_byte(place + i);
    return hal::Answer::done;
}

std::uint32_t TornMemory::units_of(const Change& change) const {
    return static_cast<std::uint32_t>(change.bytes.size()) / geometry_.program_size;
}

hal::Answer TornMemory::begin(Change change) {
    if (off_) return hal::Answer::failed;
    if (busy_) return hal::Answer::busy;
    operations_.push_back({change.kind, units_of(change), static_cast<std::uint32_t>(unsynced_.size())});
    under_way_ = std::move(change);
    busy_ = true;
    ++begun_;
    return hal::Answer::done;
}

hal::Answer TornMemory::start_program(std::uint32_t block, std::uint32_t offset,
                                      std::span<const std::uint8_t> bytes) {
    const std::uint32_t unit = geometry_.program_size;
    if (block >= geometry_.block_count || offset > geometry_.block_size || bytes.empty() ||
        bytes.size() > geometry_.block_size - offset || offset % unit != 0 || bytes.size() % unit != 0)
        return hal::Answer::bad_argument;
    return begin({Kind::program, block * geometry_.block_size + offset, {bytes.begin(), bytes.end()}});
}

hal::Answer TornMemory::start_erase(std::uint32_t block) {
    if (block >= geometry_.block_count) return hal::Answer::bad_argument;
    return begin({Kind::erase, block * geometry_.block_size, {}});
}

hal::Answer TornMemory::start_sync() {
    return begin({Kind::sync, 0, {}});
}

void TornMemory::carry_out(const Change& change, std::uint32_t units, std::uint32_t weak_end) {
    const std::uint32_t unit = change.kind == Kind::erase ? 1 : geometry_.program_size;
    for (std::uint32_t i = 0; i < weak_end * unit; ++i) {
        const std::uint32_t at = change.place + i;
        const auto changed = [&](std::uint8_t byte) {
            if (change.kind == Kind::erase) return geometry_.erased_value;
            return programmed(byte, change.bytes[i], geometry_.erased_value);
        };
        after_[at] = changed(after_[at]);
        if (i < units * unit)
            before_[at] = changed(before_[at]);
        else
            left_by_[at] = static_cast<std::uint8_t>(left_.size() - 1);
        if (change.kind == Kind::erase && i < units) before_[at] = geometry_.erased_value;
    }
}

bool TornMemory::worn(Kind kind) {
    using Wear = MemoryWear::Kind;
    const bool hits = kind == Kind::program
                          ? wear_.kind == Wear::program_fails || wear_.kind == Wear::bit_sticks
                      : kind == Kind::erase ? wear_.kind == Wear::erase_fails
                                            : wear_.kind == Wear::sync_fails;
    if (!hits || begun_ <= wear_.first || wear_.times == 0) return false;
    --wear_.times;
    return true;
}

void TornMemory::make_cut() {
    const Operation& operation = operations_.back();
    refusal_ = refuses(operation, cut_);
    off_ = true;
    busy_ = false;
    if (!refusal_.empty()) return;
    // Whatever ended since the last sync and is not lost, in its order, on what was synced.
    before_ = synced_before_;
    after_ = synced_after_;
    for (std::size_t i = 0; i < unsynced_.size(); ++i) {
        if ((cut_.lost >> i & 1u) != 0) continue;
        const std::uint32_t all =
            unsynced_[i].kind == Kind::erase ? geometry_.block_size : units_of(unsynced_[i]);
        carry_out(unsynced_[i], all, all);
    }
    left_.push_back({cut_.reads, 0});
    if (operation.kind == Kind::program)
        carry_out(under_way_, cut_.reached, std::min(cut_.reached + 1, operation.units));
    if (operation.kind == Kind::erase) {
        const std::uint32_t all = geometry_.block_size;
        if (cut_.reached == erase_half) carry_out(under_way_, 0, all / 2);
        if (cut_.reached == erase_all_weak) carry_out(under_way_, 0, all);
        if (cut_.reached == erase_unreported) carry_out(under_way_, all, all);
    }
    unsynced_.clear();
    synced_before_ = before_;
    synced_after_ = after_;
}

hal::Answer TornMemory::poll(hal::Microseconds) {
    if (off_) return hal::Answer::failed;
    if (!busy_) return last_;
    if (cut_planned_ && operations_.size() == cut_.after + std::size_t{1}) {
        make_cut();
        return hal::Answer::failed;
    }
    busy_ = false;
    const Kind kind = under_way_.kind;
    const bool fails = worn(kind);
    last_ = fails && wear_.kind != MemoryWear::Kind::bit_sticks ? hal::Answer::failed : hal::Answer::done;
    if (kind == Kind::sync) {
        if (fails || lies_) return last_;
        synced_before_ = before_;
        synced_after_ = after_;
        unsynced_.clear();
        return last_;
    }
    if (fails && kind == Kind::program) {
        if (wear_.kind == MemoryWear::Kind::bit_sticks)
            under_way_.bytes.back() = static_cast<std::uint8_t>(
                under_way_.bytes.back() ^ ((under_way_.bytes.back() ^ geometry_.erased_value) & 1u));
        else
            under_way_.bytes.resize(units_of(under_way_) / 2 * geometry_.program_size);
    }
    const std::uint32_t all = kind == Kind::erase ? geometry_.block_size : units_of(under_way_);
    const std::uint32_t done = fails && kind == Kind::erase ? all / 2 : all;
    carry_out(under_way_, done, done);
    if (done == all) {
        unsynced_.push_back(under_way_);
    } else {
        // Half an erase lasts as it is.
        synced_before_ = before_;
        synced_after_ = after_;
        unsynced_.clear();
    }
    return last_;
}

}  // namespace cornerbench::faults
