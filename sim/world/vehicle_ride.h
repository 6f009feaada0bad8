#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <vector>

#include "firmware/scale/description.h"
#include "sim/files/vehicle_file.h"
#include "sim/world/journey.h"
#include "sim/world/normal_source.h"
#include "sim/world/oscillator.h"

namespace cornerbench::world {

/// An end of the deck; x counts from the left one.
enum class End : unsigned char { left, right };

/// How a vehicle hangs in its springs (common practice, no source, but for the unevenness). What its file
/// says comes before this.
struct Suspension {
    double bounce_Hz = 2.5;  ///< of the body, 1.5 to 4 in the yard; 0: no bounce
    double bounce_damping = 0.12;
    double pitch_Hz = 1.8;  ///< 0: braking moves no load
    double pitch_damping = 0.25;
    double mass_height_m = 1.6;  ///< of the centre of mass above the road
    double gap_bump_m = 6.0e-3;  ///< height of the step at a deck's end gap
    double gap_length_m = 0.06;  ///< over which a wheel climbs it
    /// Of the deck: spectral density of displacement at 0.1 cycles per metre, m3. ISO 8608 class A, a very
    /// good road, is 16e-6 (from memory).
    double unevenness_m3 = 4.0e-6;
    /// Swing of the axles' forces as a share of their loads, when it has come to a stand; without it, what
    /// road and braking leave.
    std::optional<double> stop_share{};

    static Suspension rigid() { return {0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, {}}; }
};

/// How a vehicle comes on.
struct Approach {
    End from = End::left;
    double speed_m_per_s = 1.5;
    double braking_m_per_s2 = 0.8;  ///< unless the vehicle's file says another
    /// Along the deck, of its front axle; without it the vehicle drives over.
    std::optional<double> stop_front_at_m{};
    /// Middle between its wheel tracks across the deck; without it the middle of the deck.
    std::optional<double> line_y_m{};
    double starts_before_m = 1.0;  ///< from the deck's end to its front axle
    Suspension suspension{};
};

/// How a vehicle leaves.
struct Departure {
    bool back = false;  ///< out where it came from
    double speed_m_per_s = 1.5;
    double acceleration_m_per_s2 = 0.6;
};

/// One axle's place and what it presses down with.
struct AxleForce {
    double x_m = 0.0;
    double y_m = 0.0;
    double force_N = 0.0;
};

/// One vehicle in motion over the deck.
///
/// Its body is one mass that bounces on the axles' springs, each axle taking its share, and pitches: braking
/// with a moves m a h of moment from the rear to the front, spread over the axles by their masses. Bounce is
/// driven by the road under the springs and by a kick where an axle climbs the deck's ends; so the axles'
/// forces are m (g + z'') together, and their mean is the weight. Both wheel tracks of an axle act as one
/// force between them, which on a bilinear deck is the same.
class VehicleRide {
  public:
    VehicleRide(const files::Vehicle& vehicle, const Approach& approach,
                const scale::Description& description, double now_s, double step_s, std::uint64_t seed,
                std::uint64_t number);

    /// Drives off from where it is at `now_s`.
    void leave(const Departure& departure, double now_s);

    /// One sample on, to `now_s`.
    void step(double now_s);

    /// Axles that are on the deck now.
    const std::vector<AxleForce>& on_deck() const { return on_deck_; }
    double mass_on_deck_kg() const { return mass_on_deck_kg_; }
    bool stands() const { return stands_; }
    /// Stands, and nothing of its bounce or pitch is left that shows.
    bool quiet() const { return quiet_; }
    bool gone() const { return gone_; }
    double front_x_m() const { return front_x_m_; }
    const Oscillator& bounce() const { return bounce_; }

  private:
    void shake(double speed);
    void climb(double speed, double along_m);
    void swing_at_stop();

    std::vector<files::Axle> axles_;
    std::vector<double> pitch_share_;  ///< force per acceleration of braking, by axle
    std::vector<char> was_on_;
    double mass_kg_ = 0.0;
    double gravity_ = 0.0;
    double first_x_m_ = 0.0;
    double last_x_m_ = 0.0;
    double facing_ = 1.0;
    double y_m_ = 0.0;
    double step_s_ = 0.0;
    Suspension suspension_;
    Journey journey_;
    Oscillator bounce_;
    Oscillator pitch_;
    double pitched_for_ = 0.0;  ///< acceleration that the pitch goes towards
    NormalSource noise_;
    std::vector<AxleForce> on_deck_;
    double mass_on_deck_kg_ = 0.0;
    double front_x_m_ = 0.0;
    bool stands_ = false;
    bool quiet_ = false;
    bool gone_ = false;
};

}  // namespace cornerbench::world
