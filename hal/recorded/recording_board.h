#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

#include "hal/board.h"
#include "hal/recorded/expectation.h"
#include "hal/recorded/line_text.h"
#include "hal/recorded/text_stream.h"

namespace cornerbench::hal {

/// A board around another one that writes down every call: what the firmware gave and what it got. The format
/// is hal/recorded/FORMAT.md. No heap; some 6 kB.
class RecordingBoard final : private Clock,
                             private Converter,
                             private Memory,
                             private Line,
                             private Panel,
                             private Supervisor {
  public:
    /// Writes the header. The wrapped board's parts and the sink have to outlive it.
    RecordingBoard(const Board& board, TextSink& sink);
    RecordingBoard(const RecordingBoard&) = delete;
    RecordingBoard& operator=(const RecordingBoard&) = delete;

    /// What the firmware is given.
    Board board() { return {*this, *this, *this, *this, *this, *this}; }

    /// Lays `text` into the recording, between two steps of the firmware: what whoever replays it needs or
    /// wants to know. `name` has up to 24 characters.
    void add_note(std::string_view name, std::string_view text);

    /// The wrapped board has started anew, and the firmware is about to.
    void started_anew();

    /// Writes the end, between two steps of the firmware, with its state hash if there is one to compare. A
    /// recording without an end counts as truncated.
    void end(std::optional<std::uint64_t> state_hash = {});

    /// False when the sink has refused a line: what came after it is not recorded.
    bool complete() const { return !sink_failed_; }

  private:
    Answer now(Microseconds& now) override;

    ConverterTraits traits() const override { return board_.converter.traits(); }
    Answer select(Excitation excitation, std::uint32_t channels) override;
    Answer take(Microseconds now, std::span<Frame> frames, std::size_t& count) override;

    MemoryGeometry geometry() const override { return board_.memory.geometry(); }
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

    Microseconds kick_within_us() const override { return board_.supervisor.kick_within_us(); }
    Answer kick(Microseconds now) override;
    bool supply_good(Microseconds now) override;
    bool seal_open() override;
    ResetCause reset_cause() const override { return board_.supervisor.reset_cause(); }

    std::int64_t late(Microseconds now) const { return wrapping_difference(now, expected_.time_us()); }
    void write_line();
    void write_expected_run(bool step_follows);
    bool note(const Call& call, bool expected_payload = true);
    void write_bytes(std::span<const std::uint8_t> bytes);
    void write_data_lines(std::span<const std::uint8_t> bytes);
    void write_frame(const Frame& frame);

    Board board_;
    TextSink& sink_;
    Expectation expected_;
    LineSeal seal_;
    LineText line_;
    std::int64_t expected_run_ = 0;  ///< calls that came as expected and are not written yet
    bool step_told_ = false;         ///< whether a line has said which step this is
    bool sink_failed_ = false;
};

}  // namespace cornerbench::hal
