#pragma once

#include <cstdint>
#include <deque>

namespace cornerbench::bad_days {

/// Smallest and largest of the last `length` values.
class SlidingRange {
  public:
    explicit SlidingRange(std::int64_t length) : length_(length) {}

    void push(double value) {
        keep(low_, value, [](double older, double newer) { return older >= newer; });
        keep(high_, value, [](double older, double newer) { return older <= newer; });
        ++count_;
    }
    double low() const { return low_.front().value; }
    double high() const { return high_.front().value; }

  private:
    /// A value, and how many were pushed before it.
    struct Entry {
        std::int64_t number;
        double value;
    };

    template <class Beaten>
    void keep(std::deque<Entry>& entries, double value, Beaten beaten) {
        while (!entries.empty() && beaten(entries.back().value, value)) entries.pop_back();
        entries.push_back({count_, value});
        while (entries.front().number <= count_ - length_) entries.pop_front();
    }

    std::int64_t length_;
    std::int64_t count_ = 0;
    std::deque<Entry> low_;
    std::deque<Entry> high_;
};

}  // namespace cornerbench::bad_days
