#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>

#include "firmware/console/command.h"
#include "firmware/console/line_reader.h"
#include "hal/line.h"

/// A conversation over one line.
namespace cornerbench::console {

/// Room for the longest answer there is (the list of all headers) and some more.
inline constexpr std::size_t answer_room = 4096;

/// Longest wait for something to be stored (*WAI, *OPC?) before it is given up with -365.
inline constexpr std::int64_t longest_wait_us = 10'000'000;

/// Reads program messages, acts on an instrument, keeps answers until they are taken. One per line: each has
/// its own errors and registers. Never waits: what takes time is gone on with at the next step.
///
/// Some 6 kB: place it statically. Nothing is lost without an error: an answer without room is dropped whole,
/// as -430; a line that is too long or damaged is dropped whole, as -363, -101 or -360.
class Console {
  public:
    explicit Console(Instrument& instrument, const Identity& identity = {});
    // The line at work is pointed into.
    Console(const Console&) = delete;
    Console& operator=(const Console&) = delete;

    /// Takes bytes up to and including the end of a line, none while one is waiting to be worked off, and
    /// returns how many. Give the rest again after `step`.
    std::size_t receive(std::span<const std::uint8_t> bytes);

    /// Works off one unit of the line that waits, at most; latches conditions into the registers. False when
    /// there is nothing to go on with now.
    bool step(std::int64_t now_us);

    /// Whole answers that wait to be sent, and how many of their bytes have been.
    std::span<const std::uint8_t> answers() const;
    void sent(std::size_t count);

    /// Bytes were lost on the way in: the line they belonged to is dropped, as -360.
    void lost_input();

    /// Another peer: what the last one had begun or not taken is dropped. Errors and registers stay.
    void disconnected();

    /// One round with a port: receives, steps, sends. Does at most what 16 units and 512 bytes in ask for.
    void serve(hal::Line& line, std::int64_t now_us);

    /// Nothing that came in as a whole line waits to be worked off, and no answer to be sent.
    bool idle() const;

    const ErrorQueue& errors() const { return session_.errors; }

  private:
    void report(Outcome outcome, std::string_view from_line = {});
    void watch_instrument();
    void begin_line();
    void end_line();
    /// False when the unit has to wait.
    bool work_off(std::string_view text, std::int64_t now_us);
    void run(const Command& command, Call& call, std::string_view text);
    void answer_too_long();
    bool waits(const Command& command, std::int64_t now_us);

    Instrument* instrument_;
    Session session_;
    LineReader reader_;
    std::string_view rest_;  ///< of the line that is being worked off
    HeaderPath path_;
    bool working_ = false;
    bool spoiled_ = false;  ///< the rest of the line is not to be worked off

    bool waiting_ = false;
    std::int64_t waiting_since_us_ = 0;
    bool store_watched_ = false;
    std::uint32_t changes_before_ = 0;  ///< what was stored has changed nothing unless this has grown

    std::array<char, answer_room> room_{};
    std::size_t sent_ = 0;      ///< of `room_`
    std::size_t answered_ = 0;  ///< whole answers end here
    std::size_t written_ = 0;   ///< the answer to the line at work ends here

    std::array<std::uint8_t, 64> unread_{};  ///< came in from a port and waits for its turn
    std::size_t unread_begin_ = 0;
    std::size_t unread_end_ = 0;
};

}  // namespace cornerbench::console
