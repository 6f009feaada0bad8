#pragma once

#include "firmware/scale/description.h"

namespace cornerbench::world {

/// Temperature of the air over a day, and how slowly cells and cables follow it.
struct Day {
    double mean_C = 20.0;
    double swing_K = 0.0;  ///< warmest less mean
    double warmest_h = 15.0;
    double start_h = 8.0;        ///< hour of the day when the world begins
    double cloud_K = 0.0;        ///< standard deviation of what clouds and sun add
    double cloud_s = 900.0;      ///< how long a cloud lasts: its correlation falls to 1/e
    double cell_lag_s = 3600.0;  ///< time constant of a cell in its stand (common practice, no source)
    double cable_lag_s = 600.0;
};

/// A gusty wind that presses on the deck as a whole.
struct Wind {
    double speed_m_per_s = 0.0;
    double turbulence = 0.2;        ///< standard deviation over mean speed
    double gust_length_m = 80.0;    ///< integral length of the gusts
    double lift_coefficient = 0.1;  ///< vertical force over dynamic pressure times deck area, down positive
};

/// Pick-up of the mains at the converter's input.
struct Mains {
    double frequency_Hz = 50.0;
    double amplitude_V = 0.0;
};

/// What the yard does to a scale. Everything is off by default.
struct Surroundings {
    Day day;
    Wind wind;
    Mains mains;
    bool converter_noise = true;  ///< of the description's size
};

/// No wind, no mains, and the day's temperature where the description has the cables'.
inline Surroundings calm(const scale::Description& description) {
    Surroundings s;
    s.day.mean_C = description.cable_temperature_C;
    return s;
}

}  // namespace cornerbench::world
