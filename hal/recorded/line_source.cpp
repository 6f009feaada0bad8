#include "hal/recorded/line_source.h"

#include <algorithm>

namespace cornerbench::hal {

ReplayState LineSource::next_character(char& character) {
    if (block_place_ == block_size_) {
        std::size_t count = 0;
        block_size_ = 0;
        block_place_ = 0;
        if (source_.read(block_, count) != Answer::done) return ReplayState::unreadable;
        block_size_ = std::min(count, block_.size());
        if (block_size_ == 0) return ReplayState::truncated;
    }
    character = block_[block_place_++];
    return ReplayState::running;
}

ReplayState LineSource::next() {
    ++number_;
    size_ = 0;
    for (;;) {
        char character = 0;
        const ReplayState state = next_character(character);
        if (state != ReplayState::running) return state;
        if (character == '\n') break;
        if (character == '\r') return ReplayState::line_ends;
        if (character < ' ' || character > '~') return ReplayState::malformed;
        if (size_ == line_.size()) return ReplayState::malformed;
        line_[size_++] = character;
    }
    if (size_ == 0) return ReplayState::malformed;
    const char seal = line_[--size_];
    // '~' stands for nothing but a seal.
    if (std::find(line_.begin(), line_.begin() + static_cast<std::ptrdiff_t>(size_), '~') !=
        line_.begin() + static_cast<std::ptrdiff_t>(size_))
        return ReplayState::damaged;
    return seal_.next(line()) == seal ? ReplayState::running : ReplayState::damaged;
}

ReplayState LineSource::expect_end() {
    char character = 0;
    const ReplayState state = next_character(character);
    if (state == ReplayState::truncated) return ReplayState::running;
    if (state != ReplayState::running) return state;
    ++number_;
    return ReplayState::continued;
}

}  // namespace cornerbench::hal
