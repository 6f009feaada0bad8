#pragma once

#include <cstdint>
#include <optional>
#include <span>

#include "hal/memory.h"
#include "hal/recorded/call.h"
#include "hal/recorded/expectation.h"
#include "hal/recorded/line_parser.h"
#include "hal/recorded/line_source.h"
#include "hal/recorded/note_reader.h"
#include "hal/supervisor.h"

namespace cornerbench::hal {

/// The calls of a recording, one after another: what its lines say and what they leave to expectation.
///
/// After an error every call returns false and `state` says what it was; `line_number` is where.
class RecordedCalls {
  public:
    /// What stands next in the recording.
    enum class Next : std::uint8_t { call, start, end };

    /// `notes`, if any, is given every note that stands before what is looked at, and has to outlive this.
    explicit RecordedCalls(TextSource& source, NoteReader* notes = nullptr) : lines_(source), notes_(notes) {}

    /// The recording's first lines, once, before anything else.
    bool read_header(ConverterTraits& traits, MemoryGeometry& geometry, Microseconds& kick_within_us,
                     ResetCause& cause);

    /// Looks at what comes next without going on.
    bool look(Next& next);

    /// The call that comes next, while `look` says that there is one; then its payload has to be asked for
    /// before anything else.
    bool next_call(Call& call);

    /// The next frame of a `Converter::take`.
    bool frame(Frame& frame);

    /// The bytes of the call, as many as it has.
    bool bytes(std::span<std::uint8_t> bytes);

    /// The texts of a `Panel::show`.
    bool picture(PanelPicture& picture);

    /// The cause of the start that comes next.
    bool start(ResetCause& cause);

    /// The firmware's state hash at the recording's end; nothing before that, or when none was recorded.
    std::optional<std::uint64_t> state_hash() const { return state_hash_; }

    ReplayState state() const { return state_; }
    std::uint64_t line_number() const { return lines_.number(); }
    std::uint64_t step() const { return expected_.step(); }
    Microseconds time_us() const { return expected_.time_us(); }

  private:
    /// What was read of the recording and is not used up yet.
    enum class Item : std::uint8_t { none, expected_run, regular_frames, call, start, end };

    bool fail(ReplayState state);
    bool read_line();
    bool read_item();
    bool parse_step_line();
    bool parse_run_line();
    bool parse_call_line();
    bool parse_end_line();
    bool read_note();
    bool read_data_line(std::span<std::uint8_t> room, std::size_t& count);
    bool parse_regular_frame(Frame& frame);
    bool parse_frame(Frame& frame);
    bool parse_faults(LineParser& parser, Frame& frame);
    bool end_of_run();
    bool implied_call(Call& call);

    LineSource lines_;
    NoteReader* notes_;
    Expectation expected_;
    ReplayState state_ = ReplayState::running;
    Item item_ = Item::none;
    Call call_;  ///< of an explicit line
    PanelPicture picture_;
    std::int64_t run_left_ = 0;
    std::int64_t run_step_ = 0;
    std::int64_t run_time_us_ = 0;
    std::int64_t implied_ = 0;      ///< calls since a frame line that needs a `take` was read
    bool frame_line_held_ = false;  ///< the line at hand is the next frame
    bool picture_told_ = false;
    std::int64_t start_cause_ = 0;
    std::optional<std::uint64_t> state_hash_;
};

}  // namespace cornerbench::hal
