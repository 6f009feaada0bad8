#pragma once

/// Exponential, logarithm and error function from + - * / alone, so that every target computes the same bits.
namespace cornerbench::numbers {

inline constexpr double pi = 3.14159265358979323846;

/// e^x; 0 below -708, infinite above 709.
double exp(double x);

/// Natural logarithm; -infinity at 0, NaN below. Subnormal numbers count as 0.
double log(double x);

/// Error function.
double erf(double x);

/// Logarithm of the standard normal probability below x; holds far into the lower tail.
double log_normal_below(double x);

/// Standard normal probability below x.
inline double normal_below(double x) {
    return exp(log_normal_below(x));
}

/// Logarithm of the standard normal probability between a < b; holds far into either tail.
double log_normal_between(double a, double b);

/// The x below which a share `p` in (0, 1) of a standard normal lies.
double normal_quantile(double p);

/// log(e^a + e^b) without overflow; either may be -infinity.
double log_sum(double a, double b);

}  // namespace cornerbench::numbers
