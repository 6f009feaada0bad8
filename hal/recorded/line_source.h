#pragma once

#include <array>
#include <cstdint>
#include <string_view>

#include "hal/recorded/line_text.h"
#include "hal/recorded/text_stream.h"

namespace cornerbench::hal {

/// How a replay stands. All but the first are final.
enum class ReplayState : std::uint8_t {
    running,
    finished,         ///< came to the recording's end without a difference
    different,        ///< the firmware gave something else than was recorded
    not_a_recording,  ///< the first line is another file's
    wrong_version,    ///< a recording, but of a format this code does not know
    damaged,          ///< a line does not match its seal
    malformed,        ///< a line says something impossible
    truncated,        ///< the recording stops before its end
    unreadable,       ///< the source failed
    continued,        ///< something follows the recording's end
    line_ends         ///< a line ends in CR LF, where every line was written with LF
};

/// The state's name, for messages.
constexpr const char* name_of(ReplayState state) {
    switch (state) {
        case ReplayState::running:
            return "running";
        case ReplayState::finished:
            return "finished";
        case ReplayState::different:
            return "different";
        case ReplayState::not_a_recording:
            return "not a recording";
        case ReplayState::wrong_version:
            return "wrong version";
        case ReplayState::damaged:
            return "damaged";
        case ReplayState::malformed:
            return "malformed";
        case ReplayState::truncated:
            return "truncated";
        case ReplayState::unreadable:
            return "unreadable";
        case ReplayState::continued:
            return "continued after its end";
        case ReplayState::line_ends:
            return "line ends changed";
    }
    return "unknown";
}

/// Line after line of a recording, each held to its seal.
class LineSource {
  public:
    explicit LineSource(TextSource& source) : source_(source) {}

    /// Goes to the next line. Anything but `running` is what is wrong with it; `truncated` when there is
    /// none.
    ReplayState next();

    /// Whether nothing follows: `running` then, `continued` when something does, at the line `number` then.
    ReplayState expect_end();

    /// The line without its seal, good until the next call.
    std::string_view line() const { return {line_.data(), size_}; }

    /// Its number, from 1.
    std::uint64_t number() const { return number_; }

  private:
    ReplayState next_character(char& character);

    TextSource& source_;
    LineSeal seal_;
    std::array<char, 256> block_{};
    std::size_t block_size_ = 0;
    std::size_t block_place_ = 0;
    std::array<char, longest_line> line_{};
    std::size_t size_ = 0;
    std::uint64_t number_ = 0;
};

}  // namespace cornerbench::hal
