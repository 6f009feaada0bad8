#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

#include "hal/answer.h"

namespace cornerbench::hal {

/// Bytes to and from whoever is connected: a serial line, a socket.
///
/// Promised: bytes keep their order; neither call waits; while nobody is there both calls answer
/// `disconnected`, and bytes under way are gone; when one peer has left and another come meanwhile, `receive`
/// answers `disconnected` once and `send` until then, so that nothing meant for the old one goes to the new.
/// Not promised: that bytes taken over have been sent, that anybody reads them, that none was lost on the way
/// in (`failed` once, after an overrun or a framing error; what follows is good again), that a new peer is
/// told apart from the old one other than by one `disconnected` in between.
class Line {
  public:
    /// Bytes that have come in, as many as fit; `count` is how many, 0 is no error.
    virtual Answer receive(std::span<std::uint8_t> bytes, std::size_t& count) = 0;

    /// Takes over as many of `bytes` as it has room for; `count` is how many. The rest is to be offered
    /// again.
    virtual Answer send(std::span<const std::uint8_t> bytes, std::size_t& count) = 0;

  protected:
    ~Line() = default;
};

}  // namespace cornerbench::hal
