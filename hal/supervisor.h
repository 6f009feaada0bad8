#pragma once

#include <cstdint>

#include "hal/answer.h"

namespace cornerbench::hal {

/// Why a board has started.
enum class ResetCause : std::uint8_t { power_on, watchdog, brown_out, asked_for };

/// What watches over the board: watchdog, supply, the seal on the calibration.
///
/// Promised: without a `kick` for `kick_within_us` the board starts anew; `supply_good` is false from the
/// moment the supply is too low for the converter until it has recovered. Not promised: any warning before
/// the supply is gone.
class Supervisor {
  public:
    /// Longest time from one kick to the next.
    virtual Microseconds kick_within_us() const = 0;

    /// Says that the firmware is alive.
    virtual Answer kick(Microseconds now) = 0;

    virtual bool supply_good(Microseconds now) = 0;

    /// Whether the calibration may be changed: false while the seal is on.
    virtual bool seal_open() = 0;

    /// Why the board started; the same until the next start.
    virtual ResetCause reset_cause() const = 0;

  protected:
    ~Supervisor() = default;
};

}  // namespace cornerbench::hal
