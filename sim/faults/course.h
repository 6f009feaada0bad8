#pragma once

#include <limits>

#include "firmware/scale/causes.h"

/// What can be done to a world or a port, and when.
namespace cornerbench::faults {

/// How a fault comes about in time. Times count from when it is put into the world. What is left at its
/// default does nothing: a plain fault is there at once, in its full size, for good.
struct Course {
    double begins_s = 0.0;
    double ends_s = std::numeric_limits<double>::infinity();

    /// From harmless to its full size, in so long. A cause without a magnitude is there from its beginning.
    double grows_s = 0.0;

    /// Both above 0: it comes and goes, there for `on_s` and away for `off_s`. Irregular: these are the means
    /// of exponential spreads.
    double on_s = 0.0;
    double off_s = 0.0;
    bool irregular = true;

    /// Its size wanders by a factor: standard deviation of the factor's logarithm after one hour, growing
    /// with the square root of time. It stays within what the cause can have.
    double wander = 0.0;
};

/// A cause with its place and full size, and how it comes about.
struct Scheduled {
    scale::Fault fault;
    Course course;
};

/// The magnitude at which `cause` does nothing, SI: the insulation of a dry junction, the nominal excitation,
/// an output ratio of 1, else 0. A contact that grows has its stiffness from the beginning; its friction
/// grows from 0.
double harmless_magnitude(const scale::Description& description, const scale::Fault& fault, int index);

}  // namespace cornerbench::faults
