#pragma once

#include "hal/supervisor.h"

namespace cornerbench::hal {

/// Watchdog, supply and seal, worked from outside.
class SimulatedSupervisor final : public Supervisor {
  public:
    explicit SimulatedSupervisor(Microseconds kick_within_us = 1'000'000) : kick_within_us_(kick_within_us) {}

    Microseconds kick_within_us() const override { return kick_within_us_; }

    Answer kick(Microseconds now) override {
        if (now > last_kick_us_) last_kick_us_ = now;
        return Answer::done;
    }

    bool supply_good(Microseconds) override { return supply_good_; }
    bool seal_open() override { return seal_open_; }
    ResetCause reset_cause() const override { return reset_cause_; }

    void set_supply_good(bool good) { supply_good_ = good; }
    void set_seal_open(bool open) { seal_open_ = open; }

    /// Whether the watchdog has waited too long and starts the board anew.
    bool ran_out(Microseconds now) const { return now - last_kick_us_ > kick_within_us_; }

    /// The board starts, for this reason; the watchdog counts from here.
    void start(Microseconds now, ResetCause cause) {
        last_kick_us_ = now;
        reset_cause_ = cause;
    }

  private:
    Microseconds kick_within_us_;
    Microseconds last_kick_us_ = 0;
    bool supply_good_ = true;
    bool seal_open_ = false;
    ResetCause reset_cause_ = ResetCause::power_on;
};

}  // namespace cornerbench::hal
