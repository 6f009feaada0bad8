#pragma once

#include "hal/memory.h"

namespace cornerbench::cortex_m {

/// Two blocks at the end of what the linker script calls flash, where QEMU has RAM: with the manners of NOR
/// flash (programs clear bits, an erase sets a block's), and as fast as it can be polled. On a real part, the
/// flash controller's registers stand in the place of the loops.
class FlashMemory final : public hal::Memory {
  public:
    hal::MemoryGeometry geometry() const override;
    hal::Answer read(std::uint32_t block, std::uint32_t offset, std::span<std::uint8_t> bytes) override;
    hal::Answer start_program(std::uint32_t block, std::uint32_t offset,
                              std::span<const std::uint8_t> bytes) override;
    hal::Answer start_erase(std::uint32_t block) override;
    hal::Answer start_sync() override;
    hal::Answer poll(hal::Microseconds now) override;

  private:
    bool under_way_ = false;
};

}  // namespace cornerbench::cortex_m
