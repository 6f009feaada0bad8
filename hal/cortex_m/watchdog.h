#pragma once

#include "hal/supervisor.h"

namespace cornerbench::cortex_m {

/// The CMSDK APB watchdog (DDI 0479, 4.5), and the board's first switch as the seal. The MPS2 boards do not
/// watch their supply. Why they started they do not keep either: a word that RAM keeps over a reset says
/// whether this firmware was already running.
class Watchdog final : public hal::Supervisor {
  public:
    /// From here on it bites.
    Watchdog();

    hal::Microseconds kick_within_us() const override;
    hal::Answer kick(hal::Microseconds now) override;
    bool supply_good(hal::Microseconds) override { return true; }
    bool seal_open() override;
    hal::ResetCause reset_cause() const override { return cause_; }

  private:
    hal::ResetCause cause_;
};

/// The non-maskable interrupt, by which the part warns half way: whoever has not kicked by then may still.
void watchdog_warned();

}  // namespace cornerbench::cortex_m
