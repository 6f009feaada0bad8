#include "firmware/weighing/display_filter.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::weighing {

DisplayFilter::DisplayFilter(const DisplayFilterSettings& settings) : settings_(settings) {
    settings_.longest = std::clamp(settings_.longest, 1, max_display_values);
    if (!(settings_.noise >= 0.0)) settings_.noise = 0.0;
    if (!(settings_.bound >= 0.0)) settings_.bound = 0.0;
}

void DisplayFilter::interrupt() {
    // Cleared as well as forgotten, so that equal states are equal bit by bit.
    values_ = {};
    sum_ = 0;
    next_ = 0;
    count_ = 0;
}

void DisplayFilter::shrink(int keep) {
    for (; count_ > keep; --count_) {
        std::int64_t& oldest = value_before(count_ - 1);
        sum_ -= oldest;
        oldest = 0;
    }
}

void DisplayFilter::push(std::int64_t value) {
    shrink(settings_.longest - 1);
    values_[static_cast<unsigned>(next_)] = value;
    next_ = (next_ + 1) % max_display_values;
    sum_ += value;
    ++count_;

    std::int64_t recent = 0;
    int age = 0;
    for (int m = 1; 2 * m <= max_display_values && m < count_; m *= 2) {
        for (; age < m; ++age) recent += value_before(age);
        // The means' difference and its bound, both times m (n - m), so that the left side stays whole.
        const std::int64_t rest = count_ - m;
        const std::int64_t difference = recent * rest - (sum_ - recent) * m;
        const double scatter = settings_.noise * std::sqrt(static_cast<double>(m * rest * count_));
        if (std::fabs(static_cast<double>(difference)) > settings_.bound * scatter) {
            shrink(m);
            return;
        }
    }
}

}  // namespace cornerbench::weighing
