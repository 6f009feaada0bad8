#pragma once

#include "hal/line.h"
#include "sim/live/descriptor.h"

namespace cornerbench::live {

/// A connected socket as the line of a board. One peer for its life: once it is gone it stays gone.
class SocketLine final : public hal::Line {
  public:
    /// `socket` must not block.
    explicit SocketLine(Descriptor socket) : socket_(std::move(socket)) {}

    hal::Answer receive(std::span<std::uint8_t> bytes, std::size_t& count) override;
    hal::Answer send(std::span<const std::uint8_t> bytes, std::size_t& count) override;

    int descriptor() const { return socket_.get(); }
    /// The peer sends no more; it may still be waiting for answers.
    bool ended() const { return ended_; }
    /// The peer is gone.
    bool gone() const { return gone_; }
    /// The last `send` was not taken in full: the peer is slow to read.
    bool crowded() const { return crowded_; }

  private:
    Descriptor socket_;
    bool ended_ = false;
    bool gone_ = false;
    bool crowded_ = false;
};

}  // namespace cornerbench::live
