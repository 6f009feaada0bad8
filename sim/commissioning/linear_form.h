#pragma once

#include <cmath>
#include <vector>

namespace cornerbench::commissioning {

/// A quantity as a value and its slopes along the uncertain inputs of a day, for the law of propagation of
/// uncertainty (JCGM 100:2008, 5.1.2). Inputs are independent of each other; what two quantities share is the
/// same input in both.
class LinearForm {
  public:
    LinearForm() = default;
    explicit LinearForm(double value) : value_(value) {}

    double value() const { return value_; }

    /// Adds `slope`, the change of this by one standard uncertainty of input `input`.
    LinearForm& add(int input, double slope) {
        for (Slope& each : slopes_) {
            if (each.input != input) continue;
            each.slope += slope;
            return *this;
        }
        slopes_.push_back({input, slope});
        return *this;
    }

    /// Adds `times` the other quantity, input by input.
    LinearForm& plus(const LinearForm& other, double times = 1.0) {
        value_ += times * other.value_;
        for (const Slope& each : other.slopes_) add(each.input, times * each.slope);
        return *this;
    }

    /// Combined standard uncertainty.
    double uncertainty() const {
        double sum = 0.0;
        for (const Slope& each : slopes_) sum += each.slope * each.slope;
        return std::sqrt(sum);
    }

  private:
    /// The change by one standard uncertainty of an input.
    struct Slope {
        int input = 0;
        double slope = 0.0;
    };
    double value_ = 0.0;
    std::vector<Slope> slopes_;
};

/// Coverage factor of an expanded uncertainty.
inline constexpr double coverage = 2.0;

}  // namespace cornerbench::commissioning
