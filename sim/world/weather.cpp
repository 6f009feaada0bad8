#include "sim/world/weather.h"

#include <cmath>

#include "firmware/numbers/elementary.h"
#include "firmware/numbers/sine.h"
#include "sim/world/random_stream.h"

namespace cornerbench::world {

namespace {

constexpr double air_kg_per_m3 = 1.225;  // ISO 2533:1975, at sea level and 15 C

/// Share of the way that a first-order lag goes in one step.
double followed(double step_s, double lag_s) {
    return lag_s > 0.0 ? 1.0 - numbers::exp(-step_s / lag_s) : 1.0;
}

}  // namespace

Thermometer::Thermometer(const Day& day, double step_s, std::uint64_t seed)
    : day_(day), step_s_(step_s), noise_(seed, cloud_stream) {
    cloud_ = day_.cloud_K * (day_.cloud_K > 0.0 ? noise_.next() : 0.0);
    breathe();
    cell_C_ = cable_C_ = air_C_;
}

void Thermometer::breathe() {
    const double hour = day_.start_h + passed_s_ / 3600.0;
    const double turn = (hour - day_.warmest_h) / 24.0;
    air_C_ = day_.mean_C + cloud_;
    if (day_.swing_K != 0.0) {
        air_C_ += day_.swing_K * numbers::cos(2.0 * numbers::pi * (turn - std::floor(turn)));
    }
}

void Thermometer::step() {
    passed_s_ += step_s_;
    if (day_.cloud_K > 0.0) {
        const double stays = 1.0 - followed(step_s_, day_.cloud_s);
        cloud_ = stays * cloud_ + day_.cloud_K * std::sqrt(1.0 - stays * stays) * noise_.next();
    }
    breathe();
    cell_C_ += followed(step_s_, day_.cell_lag_s) * (air_C_ - cell_C_);
    cable_C_ += followed(step_s_, day_.cable_lag_s) * (air_C_ - cable_C_);
}

void Thermometer::change(const Day& day) {
    day_ = day;
    if (day_.cloud_K == 0.0) cloud_ = 0.0;
    breathe();
}

Gusts::Gusts(const Wind& wind, double area_m2, double step_s, std::uint64_t seed)
    : area_m2_(area_m2), step_s_(step_s), noise_(seed, wind_stream) {
    change(wind);
    if (blows()) gust_ = wind_.turbulence * wind_.speed_m_per_s * noise_.next();
}

void Gusts::change(const Wind& wind) {
    wind_ = wind;
    if (!blows()) {
        gust_ = 0.0;
        return;
    }
    stays_ = 1.0 - followed(step_s_, wind_.gust_length_m / wind_.speed_m_per_s);
    fresh_ = wind_.turbulence * wind_.speed_m_per_s * std::sqrt(1.0 - stays_ * stays_);
}

double Gusts::force_N() const {
    const double speed = speed_m_per_s();
    return 0.5 * air_kg_per_m3 * area_m2_ * wind_.lift_coefficient * speed * std::fabs(speed);
}

double Gusts::step() {
    if (!blows()) return 0.0;
    gust_ = stays_ * gust_ + fresh_ * noise_.next();
    return force_N();
}

}  // namespace cornerbench::world
