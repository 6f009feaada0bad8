#pragma once

#include <cmath>
#include <cstddef>
#include <vector>

namespace cornerbench::bad_days {

/// One zero: what the indicator says of it, what stood on the deck when it was set, wind included, and
/// whether nothing that cannot be noticed was at work.
struct TrueZero {
    double offset_kg = 0.0;
    double low_kg = 0.0;
    double high_kg = 0.0;
    double least_mass_kg = 0.0;
    double most_mass_kg = 0.0;
    bool sound = true;

    /// Tracking follows what stays within half a division of zero (R 76-1:2006, 4.5.7), so this much may be
    /// zero as well now.
    void follow(const TrueZero& now, double division_kg) {
        if (now.least_mass_kg < least_mass_kg - 0.5 * division_kg) return;
        if (now.most_mass_kg > most_mass_kg + 0.5 * division_kg) return;
        low_kg = std::fmin(low_kg, now.low_kg);
        high_kg = std::fmax(high_kg, now.high_kg);
        least_mass_kg = std::fmin(least_mass_kg, now.least_mass_kg);
        most_mass_kg = std::fmax(most_mass_kg, now.most_mass_kg);
    }
};

/// Every zero that was in force, oldest first, and which of them the memory must have by now: one older than
/// that may not come back.
class ZeroBook {
  public:
    void set(const TrueZero& zero) {
        zeros_.push_back(zero);
        now_ = zeros_.size() - 1;
    }
    TrueZero& now() { return zeros_[now_]; }
    const TrueZero& now() const { return zeros_[now_]; }

    /// The memory has told that it keeps this offset.
    void kept(double offset_kg, double slack_kg) {
        for (std::size_t i = zeros_.size(); i-- > kept_;)
            if (std::fabs(zeros_[i].offset_kg - offset_kg) <= slack_kg) {
                kept_ = i;
                return;
            }
    }

    /// Power came back with this offset. False when it is none that may come back.
    bool came_back(double offset_kg, double slack_kg) {
        for (std::size_t i = zeros_.size(); i-- > kept_;)
            if (std::fabs(zeros_[i].offset_kg - offset_kg) <= slack_kg) {
                now_ = kept_ = i;
                zeros_.resize(i + 1);
                return true;
            }
        return false;
    }

    void forget() {
        zeros_.clear();
        now_ = kept_ = 0;
    }
    bool empty() const { return zeros_.empty(); }

  private:
    std::vector<TrueZero> zeros_;
    std::size_t now_ = 0;
    std::size_t kept_ = 0;
};

}  // namespace cornerbench::bad_days
