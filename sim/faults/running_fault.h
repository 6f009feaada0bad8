#pragma once

#include <array>

#include "sim/faults/course.h"
#include "sim/field/random_source.h"

namespace cornerbench::faults {

/// One scheduled fault while time passes.
class RunningFault {
  public:
    /// Put into the world at `now_s`. `random` is its own stream.
    RunningFault(const scale::Description& description, const Scheduled& scheduled, double now_s,
                 const field::RandomSource& random);

    /// Nothing changes before this time.
    double next_s() const { return next_s_; }

    /// Comes to `now_s`; true when its presence or size has changed.
    bool step_to(double now_s);

    void mend() { ends_s_ = next_s_ = 0.0; }

    bool present() const { return present_; }
    /// Over for good.
    bool over() const { return over_; }
    /// With its size as it is now.
    const scale::Fault& fault() const { return fault_; }

  private:
    double drawn(double mean_s);
    void resize(double now_s);
    void wander(double passed_s);

    scale::Fault full_;
    scale::Fault fault_;
    scale::Magnitudes bounds_;
    std::array<double, scale::max_magnitudes> harmless_{};
    Course course_;
    double began_s_ = 0.0;
    double ends_s_ = 0.0;
    double turns_s_ = 0.0;  ///< when an intermittent one next comes or goes
    double looked_s_ = 0.0;
    double next_s_ = 0.0;
    double factor_ln_ = 0.0;
    bool on_ = true;
    bool present_ = false;
    bool over_ = false;
    field::RandomSource random_;
};

}  // namespace cornerbench::faults
