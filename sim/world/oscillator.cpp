#include "sim/world/oscillator.h"

#include <cmath>

#include "firmware/numbers/elementary.h"
#include "firmware/numbers/sine.h"

namespace cornerbench::world {

Oscillator::Oscillator(double frequency_Hz, double damping, double step_s) {
    const double w = 2.0 * numbers::pi * frequency_Hz;
    const double damped = w * std::sqrt(1.0 - damping * damping);
    const double decay = numbers::exp(-damping * w * step_s);
    const double sine = numbers::sin(damped * step_s);
    const double cosine = numbers::cos(damped * step_s);
    stiffness_ = w * w;
    drag_ = 2.0 * damping * w;
    yy_ = decay * (cosine + damping * w / damped * sine);
    yv_ = decay * sine / damped;
    vy_ = -decay * w * w / damped * sine;
    vv_ = decay * (cosine - damping * w / damped * sine);
}

}  // namespace cornerbench::world
