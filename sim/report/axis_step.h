#pragma once

namespace cornerbench::report {

/// A step of 1, 2 or 5 times a power of ten that cuts `span` into four to ten; for the marks of an axis.
double axis_step(double span);

}  // namespace cornerbench::report
