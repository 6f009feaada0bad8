#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

#include "hal/board.h"
#include "hal/recorded/line_text.h"
#include "hal/recorded/recorded_calls.h"
#include "hal/recorded/text_stream.h"

namespace cornerbench::hal {

/// A board that answers from a recording and holds the firmware to what it gave when that was made.
///
/// The loop around the firmware:
///
///     while (replay.goes_on()) {
///         if (replay.starts_anew()) make the firmware anew;
///         else one step of the firmware;
///     }
///
/// The first difference or error ends the replay: from then on calls answer `failed`, flags are false, and
/// the report stays as it is. No heap; some 8 kB.
class ReplayedBoard final : private Clock,
                            private Converter,
                            private Memory,
                            private Line,
                            private Panel,
                            private Supervisor {
  public:
    /// A call that came as recorded, and the time of its step.
    struct PastCall {
        Call call;
        Microseconds time_us = 0;
    };
    static constexpr std::size_t remembered_calls = 8;

    /// Reads the header. The source has to outlive the board, and so has `notes`, which is given the notes
    /// when `goes_on` comes to them.
    explicit ReplayedBoard(TextSource& source, NoteReader* notes = nullptr);
    ReplayedBoard(const ReplayedBoard&) = delete;
    ReplayedBoard& operator=(const ReplayedBoard&) = delete;

    /// What the firmware is given.
    Board board() { return {*this, *this, *this, *this, *this, *this}; }

    /// Whether the recording has another step or start. False at its end, and after a difference or error.
    bool goes_on();

    /// Whether the recorded board started anew here; `reset_cause` then says why. True once for each start.
    bool starts_anew();

    ReplayState state() const { return state_; }

    /// Where the replay stands, or where it ended: the line of the recording, its step, the step's time.
    std::uint64_t line() const { return line_; }
    std::uint64_t step() const { return calls_.step(); }
    Microseconds time_us() const { return calls_.time_us(); }

    /// Frames that the firmware has been given.
    std::uint64_t frames() const { return frames_; }

    /// The state hash at the recording's end, once it is `finished`; nothing when none was recorded.
    std::optional<std::uint64_t> recorded_state_hash() const { return calls_.state_hash(); }

    /// The calls before the one at hand that came as recorded, `ago` from 1, the last one. Null before them.
    const PastCall* past(std::size_t ago) const {
        if (ago < 1 || ago > remembered_calls || ago > past_count_) return nullptr;
        return &past_[(past_count_ - ago) % past_.size()];
    }

    /// After `different`: what was recorded and what came instead, each as a port's call.
    std::string_view recorded() const { return recorded_.view(); }
    std::string_view came() const { return came_.view(); }

  private:
    Answer now(Microseconds& now) override;

    ConverterTraits traits() const override { return traits_; }
    Answer select(Excitation excitation, std::uint32_t channels) override;
    Answer take(Microseconds now, std::span<Frame> frames, std::size_t& count) override;

    MemoryGeometry geometry() const override { return geometry_; }
    Answer read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) override;
    Answer start_program(std::uint32_t block, std::uint32_t offset,
                         std::span<const std::uint8_t> bytes) override;
    Answer start_erase(std::uint32_t block) override;
    Answer start_sync() override;
    Answer poll(Microseconds now) override;

    Answer receive(std::span<std::uint8_t> bytes, std::size_t& count) override;
    Answer send(std::span<const std::uint8_t> bytes, std::size_t& count) override;

    Answer show(const PanelPicture& picture) override;
    Answer take_keys(std::span<Key> keys, std::size_t& count) override;

    Microseconds kick_within_us() const override { return kick_within_us_; }
    Answer kick(Microseconds now) override;
    bool supply_good(Microseconds now) override;
    bool seal_open() override;
    ResetCause reset_cause() const override { return reset_cause_; }

    std::int64_t late(Microseconds now) const { return wrapping_difference(now, calls_.time_us()); }
    bool match(const Call& came, Call& recorded);
    Answer answer(const Call& came);
    bool fail(ReplayState state);
    bool follow();
    bool compare_bytes(const Call& came, std::span<const std::uint8_t> bytes);
    bool differs_in_payload();

    RecordedCalls calls_;
    ReplayState state_ = ReplayState::running;
    std::uint64_t line_ = 1;
    ConverterTraits traits_;
    MemoryGeometry geometry_;
    Microseconds kick_within_us_ = 1'000'000;
    ResetCause reset_cause_ = ResetCause::power_on;
    LineText recorded_;
    LineText came_;
    std::uint64_t frames_ = 0;
    std::array<PastCall, remembered_calls + 1> past_{};  ///< and the one at hand
    std::size_t past_count_ = 0;
};

}  // namespace cornerbench::hal
