#pragma once

#include <algorithm>
#include <array>
#include <cstring>

#include "hal/board.h"

/// The smallest board that the firmware runs on: the six classes, with nothing behind them but this
/// computer's memory. Put your own parts behind each, and hold them to hal/conformance.
namespace minimal {

using cornerbench::hal::Answer;
using cornerbench::hal::Microseconds;

/// Time that whoever runs the loop lets pass. On a board: a free-running timer.
class Clock final : public cornerbench::hal::Clock {
  public:
    Answer now(Microseconds& now) override {
        now = now_;
        return Answer::done;
    }
    void pass(Microseconds us) { now_ += us; }
    Microseconds time() const { return now_; }

  private:
    Microseconds now_ = 0;
};

/// One code on every channel. On a board: the driver of the part, its frames kept in an interrupt.
class Converter final : public cornerbench::hal::Converter {
  public:
    explicit Converter(const cornerbench::hal::ConverterTraits& traits) : traits_(traits) {}

    /// The signal between S+ and S- over the excitation, V/V, of what is converted from now on.
    void apply(double ratio) { ratio_ = ratio; }

    /// A conversion ends at `now`. The lowest bits go to and fro as noise makes them: codes that stand still
    /// are taken for a converter that has stopped.
    void convert(Microseconds now) {
        cornerbench::hal::Frame& frame = frames_[static_cast<std::size_t>(sequence_) % frames_.size()];
        frame = {};
        frame.sequence = sequence_++;
        frame.taken_us = now;
        const double codes = static_cast<double>(1 << (traits_.bits - 1)) / traits_.full_scale_V_per_V;
        const std::int32_t noise = static_cast<std::int32_t>((sequence_ * 7919u) % 21u) - 10;
        for (int channel = 0; channel < traits_.channels; ++channel)
            frame.code[static_cast<std::size_t>(channel)] = static_cast<std::int32_t>(ratio_ * codes) + noise;
        frame.check = cornerbench::hal::check_of(frame, traits_.channels);
    }

    cornerbench::hal::ConverterTraits traits() const override { return traits_; }

    Answer select(cornerbench::hal::Excitation, std::uint32_t channels) override {
        return channels >> traits_.channels == 0 ? Answer::done : Answer::bad_argument;
    }

    Answer take(Microseconds, std::span<cornerbench::hal::Frame> frames, std::size_t& count) override {
        const std::uint32_t lost = sequence_ - taken_ > frames_.size() ? sequence_ - taken_ - 4 : 0;
        taken_ += lost;
        for (count = 0; count < frames.size() && taken_ != sequence_; ++count)
            frames[count] = frames_[static_cast<std::size_t>(taken_++) % frames_.size()];
        return Answer::done;
    }

  private:
    cornerbench::hal::ConverterTraits traits_;
    double ratio_ = 0.0;
    std::array<cornerbench::hal::Frame, 4> frames_{};
    std::uint32_t sequence_ = 0;
    std::uint32_t taken_ = 0;
};

/// Two blocks that forget at the end of the program. On a board: flash or an EEPROM.
class Memory final : public cornerbench::hal::Memory {
  public:
    Memory() { bytes_.fill(geometry().erased_value); }

    cornerbench::hal::MemoryGeometry geometry() const override { return {8, block_size, blocks, 0xFF}; }

    Answer read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) override {
        if (!fits(block, offset, bytes.size())) return Answer::bad_argument;
        std::copy_n(bytes_.begin() + block * block_size + offset, bytes.size(), bytes.begin());
        return Answer::done;
    }

    Answer start_program(std::uint32_t block, std::uint32_t offset,
                         std::span<const std::uint8_t> bytes) override {
        const bool whole = offset % 8 == 0 && bytes.size() % 8 == 0 && !bytes.empty();
        if (!whole || !fits(block, offset, bytes.size())) return Answer::bad_argument;
        for (std::size_t i = 0; i < bytes.size(); ++i) bytes_[block * block_size + offset + i] &= bytes[i];
        return Answer::done;
    }

    Answer start_erase(std::uint32_t block) override {
        if (block >= blocks) return Answer::bad_argument;
        std::fill_n(bytes_.begin() + block * block_size, block_size, std::uint8_t{0xFF});
        return Answer::done;
    }

    Answer start_sync() override { return Answer::done; }
    Answer poll(Microseconds) override { return Answer::done; }

  private:
    static constexpr std::uint32_t block_size = 4096;
    static constexpr std::uint32_t blocks = 2;

    static bool fits(std::uint32_t block, std::uint32_t offset, std::size_t size) {
        return block < blocks && offset <= block_size && size <= block_size - offset;
    }

    std::array<std::uint8_t, block_size * blocks> bytes_{};
};

/// Nobody is connected. On a board: a UART.
class Line final : public cornerbench::hal::Line {
  public:
    Answer receive(std::span<std::uint8_t>, std::size_t& count) override {
        count = 0;
        return Answer::disconnected;
    }
    Answer send(std::span<const std::uint8_t>, std::size_t& count) override {
        count = 0;
        return Answer::disconnected;
    }
};

/// Keeps the last picture. On a board: digits and keys, or `not_there` for both.
class Panel final : public cornerbench::hal::Panel {
  public:
    Answer show(const cornerbench::hal::PanelPicture& picture) override {
        picture_ = picture;
        return Answer::done;
    }
    Answer take_keys(std::span<cornerbench::hal::Key>, std::size_t& count) override {
        count = 0;
        return Answer::done;
    }
    const cornerbench::hal::PanelPicture& picture() const { return picture_; }

  private:
    cornerbench::hal::PanelPicture picture_;
};

/// A good supply, an open seal and no watchdog to bite. On a board: all three, and the seal shut.
class Supervisor final : public cornerbench::hal::Supervisor {
  public:
    Microseconds kick_within_us() const override { return 1'000'000; }
    Answer kick(Microseconds) override { return Answer::done; }
    bool supply_good(Microseconds) override { return true; }
    bool seal_open() override { return true; }
    cornerbench::hal::ResetCause reset_cause() const override {
        return cornerbench::hal::ResetCause::power_on;
    }
};

}  // namespace minimal
