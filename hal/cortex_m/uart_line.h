#pragma once

#include <atomic>

#include "hal/cortex_m/byte_ring.h"
#include "hal/line.h"

namespace cornerbench::cortex_m {

/// The first UART, worked by its interrupts. Three wires cannot tell whether somebody is at the other end, so
/// nobody is ever found to have left.
class UartLine final : public hal::Line {
  public:
    /// From here on the UART's interrupts go to this line. One at a time, and for good.
    UartLine();

    hal::Answer receive(std::span<std::uint8_t> bytes, std::size_t& count) override;
    hal::Answer send(std::span<const std::uint8_t> bytes, std::size_t& count) override;

    /// Bytes that have come in since it was made, modulo 2^32, lost ones included.
    std::uint32_t arrived() const { return arrived_; }

    /// Bytes that it has taken over to send since it was made, modulo 2^32.
    std::uint32_t taken_over() const { return taken_over_; }

    /// From the interrupts.
    void byte_came();
    void byte_left();

  private:
    /// At 115 200 baud some 12 bytes come in a millisecond: enough for a firmware that is busy for 20 ms.
    ByteRing<256> in_;
    ByteRing<128> out_;
    std::atomic<bool> lost_{false};
    std::atomic<std::uint32_t> arrived_{0};
    std::uint32_t taken_over_ = 0;
};

}  // namespace cornerbench::cortex_m
