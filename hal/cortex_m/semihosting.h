#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string_view>

#include "hal/recorded/text_stream.h"

/// Calls to whatever debugs or emulates the processor (Semihosting for AArch32 and AArch64, Arm IHI 0078).
/// For test benches: with nobody attached the first call is a fault.
namespace cornerbench::cortex_m::semihosting {

/// Ends the emulation with this status.
void exit(int status);

/// The words that the emulator was given for the program, separated by blanks; empty when there is no room
/// for them.
std::string_view command_line(std::span<char> room);

/// A file of the computer, read from its beginning.
class File final : public hal::TextSource {
  public:
    explicit File(std::string_view path);

    bool open() const { return handle_ >= 0; }
    hal::Answer read(std::span<char> text, std::size_t& count) override;

  private:
    std::int32_t handle_ = -1;
};

}  // namespace cornerbench::cortex_m::semihosting
