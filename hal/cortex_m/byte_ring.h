#pragma once

#include <array>
#include <atomic>
#include <cstddef>
#include <cstdint>

namespace cornerbench::cortex_m {

/// Bytes between an interrupt and the firmware: one of them puts in, the other takes out, and neither locks
/// anything.
template <std::size_t Size>
class ByteRing {
    static_assert((Size & (Size - 1)) == 0, "indices run on and wrap around");

  public:
    /// False, and nothing has changed, when it is full. For the side that puts in.
    bool push(std::uint8_t byte) {
        const std::uint32_t in = in_.load(std::memory_order_relaxed);
        if (in - out_.load(std::memory_order_acquire) == Size) return false;
        bytes_[in % Size] = byte;
        in_.store(in + 1, std::memory_order_release);
        return true;
    }

    /// False when it is empty. For the side that takes out.
    bool pop(std::uint8_t& byte) {
        const std::uint32_t out = out_.load(std::memory_order_relaxed);
        if (out == in_.load(std::memory_order_acquire)) return false;
        byte = bytes_[out % Size];
        out_.store(out + 1, std::memory_order_release);
        return true;
    }

  private:
    std::array<std::uint8_t, Size> bytes_{};
    std::atomic<std::uint32_t> in_{0};
    std::atomic<std::uint32_t> out_{0};
};

}  // namespace cornerbench::cortex_m
