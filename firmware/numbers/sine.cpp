#include "firmware/numbers/sine.h"

#include <cmath>
#include <limits>

namespace cornerbench::numbers {

namespace {

// pi / 2 in parts of 33 bits, so that a whole number of quarter turns below 2^20 times a part is exact.
constexpr double quarter_first = 1.57079632673412561417;
constexpr double quarter_second = 6.07710050630396597660e-11;
constexpr double quarter_rest = 2.02226624879595063154e-21;

/// An angle as quarter turns and what is left of them, at most pi / 4 in size.
struct Reduced {
    int quadrant = 0;  ///< 0 to 3
    double rest = 0.0;
};

Reduced reduce(double x) {
    const double turns = std::floor(x / quarter_first + 0.5);
    const double rest = ((x - turns * quarter_first) - turns * quarter_second) - turns * quarter_rest;
    return {static_cast<int>(turns - 4.0 * std::floor(turns / 4.0)), rest};
}

/// Taylor's series; the terms left out are below 1e-17 of the sum for |r| <= pi / 4.
double near_sine(double r) {
    const double r2 = r * r;
    double sum = 1.0;
    for (int n = 16; n >= 2; n -= 2) sum = 1.0 - r2 / (n * (n + 1)) * sum;
    return r * sum;
}

double near_cosine(double r) {
    const double r2 = r * r;
    double sum = 1.0;
    for (int n = 17; n >= 1; n -= 2) sum = 1.0 - r2 / (n * (n + 1)) * sum;
    return sum;
}

double shifted_sine(double x, int quarters) {
    if (!(std::fabs(x) <= largest_angle)) return std::numeric_limits<double>::quiet_NaN();
    const Reduced angle = reduce(x);
    const int quadrant = (angle.quadrant + quarters) % 4;
    const double size = quadrant % 2 == 0 ? near_sine(angle.rest) : near_cosine(angle.rest);
    return quadrant >= 2 ? -size : size;
}

}  // namespace

double sin(double x) {
    return shifted_sine(x, 0);
}

double cos(double x) {
    return shifted_sine(x, 1);
}

}  // namespace cornerbench::numbers
