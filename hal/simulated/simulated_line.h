#pragma once

#include <cstdint>
#include <span>

#include "hal/line.h"
#include "hal/simulated/bounded_queue.h"

namespace cornerbench::hal {

/// Two bounded queues of bytes, and the other end of the line to work them from.
class SimulatedLine final : public Line {
  public:
    static constexpr std::size_t capacity = 4096;  ///< bytes each way

    Answer receive(std::span<std::uint8_t> bytes, std::size_t& count) override;
    Answer send(std::span<const std::uint8_t> bytes, std::size_t& count) override;

    /// The other end sends. Bytes that found no room, and all that come before the firmware has been told of
    /// that, are lost. Returns how many got through; 0 while nobody is connected.
    std::size_t peer_sends(std::span<const std::uint8_t> bytes);

    /// The other end takes what the firmware has sent; returns how many bytes.
    std::size_t peer_takes(std::span<std::uint8_t> bytes);

    /// Somebody is at the other end, or nobody. Bytes under way are lost with who was there; a new peer gets
    /// through when the firmware has been told that the old one went.
    void set_connected(bool connected);

    /// A byte was garbled on the way in.
    void garble() { lossy_ = true; }

    bool connected() const { return connected_; }
    std::size_t peer_waiting() const { return out_.size(); }
    /// Bytes that the other end can send now without losing any; a peer with flow control sends no more.
    std::size_t peer_room() const { return connected_ && !left_ ? capacity - in_.size() : 0; }

    /// As after power-on: nothing under way, the same peer.
    void start();

  private:
    BoundedQueue<std::uint8_t, capacity> in_;
    BoundedQueue<std::uint8_t, capacity> out_;
    bool connected_ = true;
    bool left_ = false;   ///< somebody went since the firmware last asked
    bool lossy_ = false;  ///< bytes were lost after the ones in `in_`
};

}  // namespace cornerbench::hal
