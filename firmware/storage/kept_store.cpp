#include "firmware/storage/kept_store.h"

#include <algorithm>

namespace cornerbench::storage {

namespace {

/// A worn slot is passed over; that many in a row, and the memory is given up.
constexpr int most_tries = 8;

bool is_erased(const Record& record) {
    return std::all_of(record.begin(), record.end(), [](std::uint8_t byte) { return byte == 0xFF; });
}

/// Whether `a` was written after `b`, on a counter that wraps around.
bool is_newer(std::uint32_t a, std::uint32_t b) {
    return a != b && a - b < 0x8000'0000u;
}

}  // namespace

bool KeptStore::usable() const {
    const hal::MemoryGeometry geometry = memory_.geometry();
    return geometry.block_count >= 2 && slots_per_block() >= 1 && geometry.program_size >= 1 &&
           record_size % geometry.program_size == 0;
}

Loaded KeptStore::load(Kept& kept) {
    if (!usable()) return Loaded::unreadable;
    bool any_written = false;
    bool any_whole = false;
    for (std::uint32_t block = 0; block < 2; ++block) {
        std::uint32_t after_last_written = 0;
        for (std::uint32_t slot = 0; slot < slots_per_block(); ++slot) {
            Record record{};
            if (memory_.read(block, slot * record_size, record) != hal::Answer::done) {
                // Unreadable is as good as written: nothing may be put there without an erase.
                any_written = true;
                after_last_written = slot + 1;
                continue;
            }
            if (is_erased(record)) continue;
            any_written = true;
            after_last_written = slot + 1;
            const auto decoded = decode(record);
            if (!decoded || (any_whole && !is_newer(decoded->number, number_))) continue;
            any_whole = true;
            kept = decoded->kept;
            number_ = decoded->number;
            newest_block_ = block;
        }
        if (any_whole && newest_block_ == block) {
            block_ = block;
            slot_ = after_last_written;
        }
    }
    if (any_whole) return Loaded::kept;
    // Half a record may lie anywhere: start with an erase.
    newest_block_ = 1;
    block_ = 1;
    slot_ = slots_per_block();
    return any_written ? Loaded::damaged : Loaded::never_set;
}

bool KeptStore::start(const Kept& kept) {
    if (stage_ != Stage::idle || !usable()) return false;
    record_ = encode(kept, number_ + 1);
    tries_ = 0;
    failed_ = false;
    stage_ = Stage::find_room;
    return true;
}

void KeptStore::give_up() {
    failed_ = true;
    stage_ = Stage::idle;
}

void KeptStore::find_room() {
    if (++tries_ > most_tries) {
        give_up();
        return;
    }
    if (slot_ < slots_per_block()) {
        const hal::Answer answer = memory_.start_program(block_, slot_ * record_size, record_);
        ++slot_;
        if (answer == hal::Answer::done) stage_ = Stage::programming;
        return;
    }
    // Full. The newest record lies in one of the two blocks: the other one is cleared.
    block_ = 1 - newest_block_;
    if (memory_.start_erase(block_) == hal::Answer::done) stage_ = Stage::erasing;
}

Saving KeptStore::ended() {
    return failed_ ? Saving::failed : Saving::done;
}

Saving KeptStore::step(std::int64_t now_us) {
    if (stage_ == Stage::idle) return Saving::idle;
    const hal::Answer answer = memory_.poll(now_us);
    if (answer == hal::Answer::busy) return Saving::under_way;
    const bool well = answer == hal::Answer::done;
    switch (stage_) {
        case Stage::idle:
            break;
        case Stage::find_room:
            find_room();
            break;
        case Stage::erasing:
            slot_ = 0;
            stage_ = Stage::find_room;
            if (!well) slot_ = slots_per_block();
            break;
        case Stage::programming: {
            Record written{};
            const bool readable =
                memory_.read(block_, (slot_ - 1) * record_size, written) == hal::Answer::done;
            if (!well || !readable || written != record_)
                stage_ = Stage::find_room;
            else if (memory_.start_sync() == hal::Answer::done)
                stage_ = Stage::syncing;
            else
                give_up();
            break;
        }
        case Stage::syncing:
            if (!well) {
                give_up();
                break;
            }
            ++number_;
            newest_block_ = block_;
            stage_ = Stage::idle;
            break;
    }
    return stage_ == Stage::idle ? ended() : Saving::under_way;
}

}  // namespace cornerbench::storage
