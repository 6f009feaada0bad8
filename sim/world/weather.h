#pragma once

#include <cstdint>

#include "sim/world/normal_source.h"
#include "sim/world/surroundings.h"

namespace cornerbench::world {

/// Air, cells and cables through the day: a sine, clouds as a first-order noise, first-order lags.
class Thermometer {
  public:
    Thermometer(const Day& day, double step_s, std::uint64_t seed);

    /// One step of `step_s` on.
    void step();

    /// Another day from now on. What is warm stays warm and follows.
    void change(const Day& day);

    double air_C() const { return air_C_; }
    double cell_C() const { return cell_C_; }
    double cable_C() const { return cable_C_; }

  private:
    void breathe();

    Day day_;
    double step_s_ = 1.0;
    double passed_s_ = 0.0;
    double cloud_ = 0.0;
    double air_C_ = 20.0;
    double cell_C_ = 20.0;
    double cable_C_ = 20.0;
    NormalSource noise_;
};

/// Vertical force of the wind on a deck. The speed's fluctuation is a first-order noise whose correlation
/// falls to 1/e in the time a gust takes to pass; the force follows the square of the speed.
class Gusts {
  public:
    Gusts(const Wind& wind, double area_m2, double step_s, std::uint64_t seed);

    bool blows() const { return wind_.speed_m_per_s > 0.0; }
    void change(const Wind& wind);

    /// Force after one more step, N, down positive.
    double step();
    double speed_m_per_s() const { return wind_.speed_m_per_s + gust_; }
    /// Force at the present speed, N, down positive.
    double force_N() const;

  private:
    Wind wind_;
    double area_m2_ = 0.0;
    double step_s_ = 0.01;
    double stays_ = 0.0;
    double fresh_ = 0.0;
    double gust_ = 0.0;
    NormalSource noise_;
};

}  // namespace cornerbench::world
