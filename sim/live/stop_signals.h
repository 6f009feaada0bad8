#pragma once

#include "sim/live/descriptor.h"

namespace cornerbench::live {

/// While it lives, the signals that ask a program to end (SIGINT, SIGTERM, SIGHUP, SIGQUIT) are noted instead
/// of ending it, so that it can put everything in order first. One at a time in a process.
class StopSignals {
  public:
    StopSignals();
    ~StopSignals();
    StopSignals(const StopSignals&) = delete;
    StopSignals& operator=(const StopSignals&) = delete;

    /// One of them has come.
    bool came() const;
    /// Readable from then on.
    int descriptor() const { return reading_.get(); }

  private:
    Descriptor reading_;
    Descriptor writing_;
};

}  // namespace cornerbench::live
