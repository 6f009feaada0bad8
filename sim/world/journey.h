#pragma once

#include <array>

namespace cornerbench::world {

/// Where a vehicle's front axle is, along its own direction, as a few pieces of constant acceleration.
class Journey {
  public:
    Journey() = default;

    /// At `speed` past `from_m` at the time `start_s`.
    Journey(double start_s, double from_m, double speed_m_per_s)
        : start_s_(start_s), from_m_(from_m), speed_(speed_m_per_s) {}

    /// Drives on at its speed and brakes so as to stand at `stop_m`; when that is too near, it brakes harder.
    void stop_at(double stop_m, double braking_m_per_s2);

    /// From where it is at `now_s` on, speeds up (or down) to `speed`; a negative one is backwards.
    void go(double now_s, double speed_m_per_s, double acceleration_m_per_s2);

    double position_m(double now_s) const;
    double speed_m_per_s(double now_s) const;
    double acceleration_m_per_s2(double now_s) const;

    /// Stands and will not move by itself any more.
    bool stands(double now_s) const;

  private:
    /// A time of even acceleration, m/s2.
    struct Piece {
        double lasts_s = 0.0;
        double acceleration = 0.0;
    };

    double start_s_ = 0.0;
    double from_m_ = 0.0;
    double speed_ = 0.0;
    std::array<Piece, 2> pieces_{};
    double last_speed_ = 0.0;  ///< beyond the pieces
    bool has_pieces_ = false;
};

}  // namespace cornerbench::world
