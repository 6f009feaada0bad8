#pragma once

#include "hal/conformance/rig.h"
#include "hal/cortex_m/bridge_simulator.h"
#include "hal/cortex_m/flash_memory.h"
#include "hal/cortex_m/led_panel.h"
#include "hal/cortex_m/registers.h"
#include "hal/cortex_m/timer_clock.h"
#include "hal/cortex_m/uart_line.h"
#include "hal/cortex_m/watchdog.h"

namespace cornerbench::target {

/// A UART of the board, waited for byte by byte.
class PolledUart {
  public:
    explicit PolledUart(std::uintptr_t base) : base_(base) {
        cortex_m::at(base_ + 0x10) = 16;
        cortex_m::at(base_ + 0x08) = 3;
    }
    void put(std::uint8_t byte) const {
        while ((cortex_m::at(base_ + 0x04) & 1u) != 0) {
        }
        cortex_m::at(base_) = byte;
    }
    bool take(std::uint8_t& byte) const {
        if ((cortex_m::at(base_ + 0x04) & 2u) == 0) return false;
        byte = static_cast<std::uint8_t>(cortex_m::at(base_));
        return true;
    }

  private:
    std::uintptr_t base_;
};

/// The board's own parts, with its second UART wired to the first one: it is the peer. What takes a hand or a
/// supply to bring about cannot be done here.
class Mps2Rig final : public hal::Rig {
  public:
    hal::Board board() override { return {clock_, converter_, memory_, line_, panel_, watchdog_}; }

    void pass(hal::Microseconds us) override {
        const std::uint32_t begin = cortex_m::Timer::ticks();
        const auto ticks = static_cast<std::uint32_t>(us) * cortex_m::Timer::ticks_per_us;
        while (cortex_m::Timer::ticks() - begin < ticks) {
        }
    }

    /// Waits until all of it has come: how long that takes is the emulator's affair.
    bool peer_sends(std::span<const std::uint8_t> bytes) override {
        const std::uint32_t before = line_.arrived();
        for (const std::uint8_t byte : bytes) peer_.put(byte);
        while (line_.arrived() - before < bytes.size()) (void)watchdog_.kick(0);
        return true;
    }
    /// Waits until all that the line has taken over has come: on a busy computer the emulator's wire is
    /// slower than the emulated time.
    bool peer_takes(std::span<std::uint8_t> bytes, std::size_t& count) override {
        count = 0;
        while (count < bytes.size() && taken_ != line_.taken_over()) {
            if (peer_.take(bytes[count])) {
                ++count;
                ++taken_;
            } else {
                (void)watchdog_.kick(0);
            }
        }
        return true;
    }
    bool overrun(std::uint8_t filler) override {
        std::array<std::uint8_t, 400> bytes{};
        bytes.fill(filler);
        return peer_sends(bytes);
    }

    bool convert(std::span<const std::int32_t>) override { return false; }
    bool convert_with_bus_error(int) override { return false; }
    bool lose_frame() override { return false; }
    bool set_connected(bool) override { return false; }
    bool press(hal::Key) override { return false; }
    bool look(hal::PanelPicture&) override { return false; }
    bool cut_power() override { return false; }
    bool set_supply_good(bool) override { return false; }
    bool set_seal_open(bool) override { return false; }

  private:
    cortex_m::TimerClock clock_;
    cortex_m::BridgeSimulator converter_{
        {.channels = 8, .bits = 24, .rate_mHz = 100'000, .full_scale_V_per_V = 3.9e-3}};
    cortex_m::FlashMemory memory_;
    cortex_m::UartLine line_;
    cortex_m::LedPanel panel_;
    cortex_m::Watchdog watchdog_;
    PolledUart peer_{0x4000'5000};
    std::uint32_t taken_ = 0;
};

}  // namespace cornerbench::target
