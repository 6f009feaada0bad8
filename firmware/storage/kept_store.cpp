#include "firmware/storage/kept_store.h"

#include <algorithm>

#include "firmware/storage/audit.h"

namespace cornerbench::storage {

namespace {

/// A worn slot is passed over; that many in a row, and the memory is given up.
constexpr int most_tries = 8;

/// Left out at every start: numbers that a cut may have put where they cannot be read now.
constexpr std::uint32_t numbers_left_out = 1000;
constexpr std::uint32_t last_number = 0xFFFF'0000u;

}  // namespace

Loaded KeptStore::load(Kept& kept) {
    const Found found = find_kept(memory_);
    kept_ = found.kept;
    number_ = found.highest < last_number ? found.highest + numbers_left_out : last_number;
    kept_area_ = found.slot.area;
    switch (found.loaded) {
        case Loaded::kept:
            duty_ = Duty::none;
            break;
        case Loaded::in_doubt:
            duty_ = Duty::settle;
            next_ = {found.slot.area, found.used};
            break;
        case Loaded::older:
            duty_ = Duty::migrate;
            break;
        case Loaded::never_set:
        case Loaded::damaged:
            duty_ = Duty::nothing_kept;
            break;
        case Loaded::newer:
        case Loaded::unreadable:
            duty_ = Duty::barred;
            return found.loaded;
    }
    if (found.loaded != Loaded::never_set) kept = found.kept;
    return found.loaded;
}

bool KeptStore::begin(const Kept& kept) {
    if (number_ >= last_number) return false;
    coming_ = kept;
    tries_ = 0;
    failed_ = false;
    stage_ = Stage::choose;
    return true;
}

bool KeptStore::start_settling() {
    if (stage_ != Stage::idle || (duty_ != Duty::settle && duty_ != Duty::migrate)) return false;
    settling_ = duty_ == Duty::settle;
    return begin(kept_);
}

bool KeptStore::start(const Kept& kept) {
    if (stage_ != Stage::idle || duty_ == Duty::barred || duty_ == Duty::settle || duty_ == Duty::migrate)
        return false;
    const bool may = duty_ == Duty::nothing_kept ? no_counter_falls(kept_, kept) : may_follow(kept_, kept);
    return may && begin(kept);
}

void KeptStore::attempt_failed() {
    if (stage_ != Stage::erase) ++next_.index;
    // It may be taken for closed from now on, so its area is not erased before a later one is.
    if (stage_ == Stage::close || stage_ == Stage::close_last) duty_ = Duty::barred;
    syncing_ = false;
    stage_ = Stage::choose;
}

void KeptStore::end(bool well) {
    failed_ = !well;
    stage_ = Stage::idle;
    if (!well) {
        // Nothing of it may be trusted then. Its counters go on with what is set up anew.
        if (duty_ == Duty::settle || duty_ == Duty::migrate) duty_ = Duty::nothing_kept;
        settling_ = false;
        return;
    }
    kept_ = coming_;
    kept_area_ = next_.area;
    duty_ = Duty::none;
    settling_ = false;
}

/// A slot that may be appended to, or the erase of the area that holds nothing to be trusted.
void KeptStore::choose() {
    if (++tries_ > most_tries) return end(false);
    const std::uint32_t room = slots_.in_area() - (settling_ ? 0 : Slots::kept_free);
    if ((appendable_ || settling_) && next_.index < room) {
        ++number_;
        return go_to(settling_ ? Stage::open : Stage::write);
    }
    // What is in doubt must not be put where something is erased first.
    if (settling_ || duty_ == Duty::barred) return end(false);
    appendable_ = false;
    next_ = {1 - kept_area_, 0};
    erased_blocks_ = 0;
    stage_ = Stage::erase;
    erase_next();
}

void KeptStore::erase_next() {
    if (memory_.start_erase(next_.area * slots_.blocks() + erased_blocks_) != hal::Answer::done)
        attempt_failed();
}

/// Programs what this stage is about.
void KeptStore::go_to(Stage stage) {
    stage_ = stage;
    syncing_ = false;
    bytes_.fill(0);
    place_block_ = slots_.block_of(next_);
    place_size_ = slots_.mark_room();
    const auto put_mark = [this](MarkKind kind) {
        const Mark mark = encode_mark(kind, number_);
        std::copy(mark.begin(), mark.end(), bytes_.begin());
    };
    switch (stage) {
        case Stage::open:
            put_mark(MarkKind::opening);
            place_offset_ = slots_.opening_at(next_);
            break;
        case Stage::write: {
            const Record record = encode(coming_, number_);
            std::copy(record.begin(), record.end(), bytes_.begin());
            place_offset_ = slots_.record_at(next_);
            place_size_ = slots_.record_room();
            break;
        }
        case Stage::close:
            put_mark(MarkKind::first_closing);
            place_offset_ = slots_.closing_at(next_, MarkKind::first_closing);
            break;
        case Stage::close_last:
            put_mark(MarkKind::last_closing);
            place_offset_ = slots_.closing_at(next_, MarkKind::last_closing);
            break;
        case Stage::idle:
        case Stage::choose:
        case Stage::erase:
            return;
    }
    const auto bytes = std::span(bytes_).first(place_size_);
    if (memory_.start_program(place_block_, place_offset_, bytes) != hal::Answer::done) attempt_failed();
}

bool KeptStore::reads_back() {
    std::array<std::uint8_t, 64> part{};
    for (std::uint32_t done = 0; done < place_size_;) {
        const std::uint32_t size = std::min(place_size_ - done, static_cast<std::uint32_t>(part.size()));
        const auto bytes = std::span(part).first(size);
        if (memory_.read(place_block_, place_offset_ + done, bytes) != hal::Answer::done) return false;
        if (!std::equal(bytes.begin(), bytes.end(), bytes_.begin() + done)) return false;
        done += size;
    }
    return true;
}

/// After a program or the last erase that ended well comes a sync, and after that the next stage.
void KeptStore::operation_ended(bool well) {
    if (!well || (!syncing_ && stage_ != Stage::erase && !reads_back())) return attempt_failed();
    if (!syncing_) {
        if (stage_ == Stage::erase && ++erased_blocks_ < slots_.blocks()) return erase_next();
        syncing_ = true;
        if (memory_.start_sync() != hal::Answer::done) attempt_failed();
        return;
    }
    next_operation();
}

void KeptStore::next_operation() {
    syncing_ = false;
    switch (stage_) {
        case Stage::idle:
        case Stage::choose:
            return;
        case Stage::erase:
            appendable_ = true;
            ++number_;
            return go_to(Stage::write);
        case Stage::open:
            return go_to(Stage::write);
        case Stage::write:
            return go_to(Stage::close);
        case Stage::close:
            return go_to(Stage::close_last);
        case Stage::close_last:
            end(true);
            ++next_.index;
            return;
    }
}

Saving KeptStore::step(std::int64_t now_us) {
    if (stage_ == Stage::idle) return Saving::idle;
    const hal::Answer answer = memory_.poll(now_us);
    if (answer == hal::Answer::busy) return Saving::under_way;
    if (stage_ == Stage::choose)
        choose();
    else
        operation_ended(answer == hal::Answer::done);
    if (stage_ != Stage::idle) return Saving::under_way;
    return failed_ ? Saving::failed : Saving::done;
}

}  // namespace cornerbench::storage
