#pragma once

#include <cstdint>

namespace cornerbench::live {

/// From the wall's time to the yard's: how many frames are due.
///
/// A computer that cannot keep up lets the yard go slower; it never owes more than a quarter of a second or
/// two frames, so that a pause is not made up for by a rush.
class Pace {
  public:
    /// `factor` times as fast as real time; 0: as fast as it goes. Frames are `frame_us` apart in the yard.
    Pace(double factor, double frame_us) : factor_(factor), frame_us_(frame_us) {}

    /// Frames due at `now_us` of a clock that never runs back, `most` at the most; they count as done.
    int due(std::int64_t now_us, int most);

    /// From `now_us` to the next frame, 0 when one is due.
    std::int64_t wait_us(std::int64_t now_us) const;

    double factor() const { return factor_; }

  private:
    double owed(std::int64_t now_us) const;

    double factor_;
    double frame_us_;
    bool begun_ = false;
    std::int64_t since_us_ = 0;
    double done_ = 0.0;  ///< frames since then
};

}  // namespace cornerbench::live
