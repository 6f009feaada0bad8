#pragma once

#include <cstdint>

#include "hal/board.h"

namespace cornerbench::golden {

/// Counts the ticks of some counter while it is not paused.
class Stopwatch {
  public:
    /// Null: a machine that has no such counter; nothing is ever counted.
    explicit Stopwatch(std::uint32_t (*ticks)()) : ticks_(ticks) {}

    void start() {
        sum_ = 0;
        resume();
    }
    void pause() {
        if (ticks_ != nullptr) sum_ += ticks_() - begin_;
    }
    void resume() {
        if (ticks_ != nullptr) begin_ = ticks_();
    }
    std::uint32_t sum() const { return sum_; }

  private:
    std::uint32_t (*ticks_)();
    std::uint32_t begin_ = 0;
    std::uint32_t sum_ = 0;
};

/// A board around another that stops the watch while its ports work: what is left is the firmware's own.
class StopwatchBoard final : private hal::Clock,
                             private hal::Converter,
                             private hal::Memory,
                             private hal::Line,
                             private hal::Panel,
                             private hal::Supervisor {
  public:
    StopwatchBoard(const hal::Board& board, Stopwatch& watch) : board_(board), watch_(watch) {}

    hal::Board board() { return {*this, *this, *this, *this, *this, *this}; }

  private:
    /// Stops the watch for as long as it lives.
    class Pause {
      public:
        explicit Pause(Stopwatch& watch) : watch_(watch) { watch_.pause(); }
        ~Pause() { watch_.resume(); }
        Pause(const Pause&) = delete;
        Pause& operator=(const Pause&) = delete;

      private:
        Stopwatch& watch_;
    };

    hal::Answer now(hal::Microseconds& now) override {
        const Pause pause(watch_);
        return board_.clock.now(now);
    }
    hal::ConverterTraits traits() const override {
        const Pause pause(watch_);
        return board_.converter.traits();
    }
    hal::Answer select(hal::Excitation excitation, std::uint32_t channels) override {
        const Pause pause(watch_);
        return board_.converter.select(excitation, channels);
    }
    hal::Answer take(hal::Microseconds now, std::span<hal::Frame> frames, std::size_t& count) override {
        const Pause pause(watch_);
        return board_.converter.take(now, frames, count);
    }
    hal::MemoryGeometry geometry() const override {
        const Pause pause(watch_);
        return board_.memory.geometry();
    }
    hal::Answer read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) override {
        const Pause pause(watch_);
        return board_.memory.read(block, offset, bytes);
    }
    hal::Answer start_program(std::uint32_t block, std::uint32_t offset,
                              std::span<const std::uint8_t> bytes) override {
        const Pause pause(watch_);
        return board_.memory.start_program(block, offset, bytes);
    }
    hal::Answer start_erase(std::uint32_t block) override {
        const Pause pause(watch_);
        return board_.memory.start_erase(block);
    }
    hal::Answer start_sync() override {
        const Pause pause(watch_);
        return board_.memory.start_sync();
    }
    hal::Answer poll(hal::Microseconds now) override {
        const Pause pause(watch_);
        return board_.memory.poll(now);
    }
    hal::Answer receive(std::span<std::uint8_t> bytes, std::size_t& count) override {
        const Pause pause(watch_);
        return board_.line.receive(bytes, count);
    }
    hal::Answer send(std::span<const std::uint8_t> bytes, std::size_t& count) override {
        const Pause pause(watch_);
        return board_.line.send(bytes, count);
    }
    hal::Answer show(const hal::PanelPicture& picture) override {
        const Pause pause(watch_);
        return board_.panel.show(picture);
    }
    hal::Answer take_keys(std::span<hal::Key> keys, std::size_t& count) override {
        const Pause pause(watch_);
        return board_.panel.take_keys(keys, count);
    }
    hal::Microseconds kick_within_us() const override {
        const Pause pause(watch_);
        return board_.supervisor.kick_within_us();
    }
    hal::Answer kick(hal::Microseconds now) override {
        const Pause pause(watch_);
        return board_.supervisor.kick(now);
    }
    bool supply_good(hal::Microseconds now) override {
        const Pause pause(watch_);
        return board_.supervisor.supply_good(now);
    }
    bool seal_open() override {
        const Pause pause(watch_);
        return board_.supervisor.seal_open();
    }
    hal::ResetCause reset_cause() const override {
        const Pause pause(watch_);
        return board_.supervisor.reset_cause();
    }

    hal::Board board_;
    Stopwatch& watch_;
};

}  // namespace cornerbench::golden
