#include "sim/world/vehicle_ride.h"

#include <algorithm>
#include <cmath>

#include "firmware/numbers/elementary.h"
#include "sim/world/random_stream.h"

namespace cornerbench::world {

namespace {

Suspension suspension_of(const files::Vehicle& vehicle, Suspension suspension) {
    suspension.bounce_Hz = vehicle.bounce_Hz.value_or(suspension.bounce_Hz);
    suspension.bounce_damping = vehicle.bounce_damping.value_or(suspension.bounce_damping);
    if (vehicle.bounce_share) suspension.stop_share = vehicle.bounce_share;
    return suspension;
}

/// A body that moves the weight by less than this share stands still.
constexpr double unseen = 1.0e-8;

constexpr double reference_wave_per_m = 0.1;  // of ISO 8608's unevenness

}  // namespace

VehicleRide::VehicleRide(const files::Vehicle& vehicle, const Approach& approach, const scale::Description& d,
                         double now_s, double step_s, std::uint64_t seed, std::uint64_t number)
    : axles_(vehicle.axles),
      was_on_(axles_.size(), 0),
      gravity_(d.gravity),
      first_x_m_(d.deck.section_x_m[0] - d.deck.overhang_m),
      last_x_m_(d.deck.section_x_m[static_cast<std::size_t>(d.deck.sections - 1)] + d.deck.overhang_m),
      facing_(approach.from == End::left ? 1.0 : -1.0),
      y_m_(approach.line_y_m.value_or(0.5 * d.deck.width_m)),
      step_s_(step_s),
      suspension_(suspension_of(vehicle, approach.suspension)),
      noise_(seed, vehicle_stream + number) {
    for (const files::Axle& axle : axles_) mass_kg_ += axle.mass_kg;
    double middle_m = 0.0;
    for (const files::Axle& axle : axles_) middle_m += axle.mass_kg * axle.behind_front_m / mass_kg_;
    double spread = 0.0;
    for (const files::Axle& axle : axles_) {
        const double off_m = axle.behind_front_m - middle_m;
        spread += axle.mass_kg * off_m * off_m;
    }
    // sum of force times place is -m h: all of the moment, none of the weight.
    for (const files::Axle& axle : axles_) {
        const double off_m = axle.behind_front_m - middle_m;
        pitch_share_.push_back(
            spread > 0.0 ? -mass_kg_ * suspension_.mass_height_m * axle.mass_kg * off_m / spread : 0.0);
    }
    if (suspension_.bounce_Hz > 0.0) {
        bounce_ = Oscillator(suspension_.bounce_Hz, suspension_.bounce_damping, step_s);
    }
    if (suspension_.pitch_Hz > 0.0) {
        pitch_ = Oscillator(suspension_.pitch_Hz, suspension_.pitch_damping, step_s);
    }

    // Along its own direction, 0 at the end it comes from.
    journey_ = Journey(now_s, -approach.starts_before_m, approach.speed_m_per_s);
    if (approach.stop_front_at_m) {
        const double stop =
            facing_ > 0.0 ? *approach.stop_front_at_m - first_x_m_ : last_x_m_ - *approach.stop_front_at_m;
        journey_.stop_at(stop, vehicle.braking_m_per_s2.value_or(approach.braking_m_per_s2));
    }
    front_x_m_ = facing_ > 0.0 ? first_x_m_ - approach.starts_before_m : last_x_m_ + approach.starts_before_m;
}

void VehicleRide::leave(const Departure& departure, double now_s) {
    const double speed = std::fabs(departure.speed_m_per_s);
    journey_.go(now_s, departure.back ? -speed : speed, departure.acceleration_m_per_s2);
    quiet_ = false;
}

void VehicleRide::shake(double speed) {
    if (suspension_.unevenness_m3 == 0.0 || speed == 0.0) return;
    // A displacement that falls with the square of the wave number is, in time, a white velocity of density
    // (2 pi n0)^2 G(n0) v per hertz, one-sided.
    const double wave = 2.0 * numbers::pi * reference_wave_per_m;
    const double variance = 0.5 * wave * wave * suspension_.unevenness_m3 * speed * step_s_;
    bounce_.move_rest(std::sqrt(variance) * noise_.next());
}

void VehicleRide::swing_at_stop() {
    const double w = 2.0 * numbers::pi * suspension_.bounce_Hz;
    bounce_.stand_still();
    // Released from where the spring carries so much more or less.
    bounce_.move_rest(*suspension_.stop_share * gravity_ / (w * w));
}

void VehicleRide::climb(double speed, double along_m) {
    const double length = last_x_m_ - first_x_m_;
    for (std::size_t i = 0; i < axles_.size(); ++i) {
        const double at = along_m - axles_[i].behind_front_m;
        const char on = at >= 0.0 && at <= length ? 1 : 0;
        if (on == was_on_[i]) continue;
        was_on_[i] = on;
        if (suspension_.gap_bump_m == 0.0 || speed == 0.0) continue;
        // The spring is pressed by the bump's height while the wheel passes it.
        const double passes_s = suspension_.gap_length_m / speed;
        const double w = 2.0 * numbers::pi * suspension_.bounce_Hz;
        const double longest_s = 0.25 / suspension_.bounce_Hz;
        bounce_.kick(w * w * suspension_.gap_bump_m * std::min(passes_s, longest_s) * axles_[i].mass_kg /
                     mass_kg_ * noise_.even().between(0.5, 1.5));
    }
}

void VehicleRide::step(double now_s) {
    if (quiet_ || gone_) return;
    const double along_m = journey_.position_m(now_s);
    const double speed = std::fabs(journey_.speed_m_per_s(now_s));
    const bool stood = stands_;
    stands_ = journey_.stands(now_s);

    if (suspension_.bounce_Hz > 0.0) {
        shake(speed);
        climb(speed, along_m);
        if (stands_ && !stood && suspension_.stop_share)
            swing_at_stop();
        else
            bounce_.step();
    }
    if (suspension_.pitch_Hz > 0.0) {
        const double wanted = -journey_.acceleration_m_per_s2(now_s);
        pitch_.move_rest(wanted - pitched_for_);
        pitched_for_ = wanted;
        pitch_.step();
    }
    const double heave = bounce_.acceleration();
    const double pitched = suspension_.pitch_Hz > 0.0 ? pitched_for_ + pitch_.from_rest() : 0.0;
    if (stands_ && std::fabs(heave) + std::fabs(bounce_.velocity()) < unseen * gravity_ &&
        std::fabs(pitched) + std::fabs(pitch_.velocity()) < unseen * gravity_) {
        bounce_.stand_still();
        pitch_.stand_still();
        quiet_ = true;
    }

    on_deck_.clear();
    mass_on_deck_kg_ = 0.0;
    front_x_m_ = facing_ > 0.0 ? first_x_m_ + along_m : last_x_m_ - along_m;
    for (std::size_t i = 0; i < axles_.size(); ++i) {
        const double x_m = front_x_m_ - facing_ * axles_[i].behind_front_m;
        if (x_m < first_x_m_ || x_m > last_x_m_) continue;
        const double moved_N = quiet_ ? 0.0 : axles_[i].mass_kg * heave + pitch_share_[i] * pitched;
        on_deck_.push_back({x_m, y_m_, std::max(0.0, axles_[i].mass_kg * gravity_ + moved_N)});
        mass_on_deck_kg_ += axles_[i].mass_kg;
    }
    // Gone once the last axle is off on the way out, whichever way that is.
    const double speed_along = journey_.speed_m_per_s(now_s);
    const double length = last_x_m_ - first_x_m_;
    const bool ahead = along_m - axles_.back().behind_front_m > length && speed_along > 0.0;
    const bool behind = along_m < 0.0 && speed_along < 0.0;
    gone_ = ahead || behind;
}

}  // namespace cornerbench::world
