#pragma once

#include <cstdint>
#include <span>

#include "hal/board.h"

namespace cornerbench::hal {

/// The bench that a board under test stands on: everything around it that the conformance suite works.
///
/// Every call that returns a bool returns false when this rig cannot do it; the check that needed it is then
/// left out and counted. A rig on a real board does what its wiring allows. What a rig answers must not
/// depend on when it is asked, or a recording of the suite cannot be replayed.
class Rig {
  public:
    virtual Board board() = 0;

    /// Lets time pass. The board may start anew meanwhile, when nobody kicks its watchdog.
    virtual void pass(Microseconds us) = 0;

    /// One conversion with these codes ends now.
    virtual bool convert(std::span<const std::int32_t> codes) = 0;

    /// One conversion ends now in which the transfer of this channel fails.
    virtual bool convert_with_bus_error(int channel) = 0;

    /// One frame is due now and is lost on the way.
    virtual bool lose_frame() = 0;

    /// The other end of the line sends, and takes what came.
    virtual bool peer_sends(std::span<const std::uint8_t> bytes) = 0;
    virtual bool peer_takes(std::span<std::uint8_t> bytes, std::size_t& count) = 0;

    /// The other end sends more than the board has room for; what gets through is all `filler`.
    virtual bool overrun(std::uint8_t filler) = 0;
    virtual bool set_connected(bool connected) = 0;

    virtual bool press(Key key) = 0;

    /// The picture that stands on the panel.
    virtual bool look(PanelPicture& picture) = 0;

    /// Power goes and comes back: the board has started anew.
    virtual bool cut_power() = 0;
    virtual bool set_supply_good(bool good) = 0;
    virtual bool set_seal_open(bool open) = 0;

  protected:
    ~Rig() = default;
};

}  // namespace cornerbench::hal
