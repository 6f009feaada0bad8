#pragma once

#include <algorithm>
#include <vector>

#include "firmware/diagnosis/trim_solver.h"
#include "firmware/scale/numbering.h"
#include "firmware/weighing/still_scale.h"

/// A hidden scale on which a technician reads corners and turns trims.
namespace cornerbench::tests {

class HiddenScale {
  public:
    HiddenScale(const scale::Description& description, const scale::Condition& truth, double span_factor)
        : description_(description), truth_(truth) {
        const weighing::StillScale scale(description_, truth_);
        calibration_ = scale.calibrate(0.5 * description.max_kg);
        calibration_.kg_per_ratio *= span_factor;
    }

    diagnosis::Load over(int support, double mass_kg) const {
        const auto section = static_cast<unsigned>(scale::section_of(support, description_.deck.sections));
        return at(description_.deck.section_x_m[section],
                  scale::is_far(support, description_.deck.sections) ? description_.deck.width_m : 0.0,
                  mass_kg);
    }
    diagnosis::Load over_section(int section, double mass_kg) const {
        return at(description_.deck.section_x_m[static_cast<unsigned>(section)],
                  0.5 * description_.deck.width_m, mass_kg);
    }
    static diagnosis::Load at(double x_m, double y_m, double mass_kg) {
        diagnosis::Load load;
        load.standing[0] = {mass_kg, x_m, y_m};
        load.count = 1;
        return load;
    }

    /// What the indicator shows, kg, not rounded, from the zero it was last set to.
    double shows(const diagnosis::Load& load) const {
        weighing::StillScale scale(description_, truth_);
        std::vector<mechanics::PointLoad> points;
        for (int i = 0; i < load.count; ++i) {
            const diagnosis::Standing& s = load.standing[static_cast<unsigned>(i)];
            points.push_back({s.x_m, s.y_m, s.mass_kg * truth_.gravity});
        }
        scale.put(points);
        return scale.read(calibration_).weight_kg;
    }
    double shows_empty() const { return shows({}); }
    void set_zero() { calibration_.zero_ratio += shows_empty() / calibration_.kg_per_ratio; }
    void set_span(double factor) { calibration_.kg_per_ratio *= factor; }

    void set_trim(int position, double at) {
        scale::BoxPosition& place = truth_.positions[static_cast<unsigned>(position)];
        (truth_.converter == scale::Converter::per_cell ? place.digital_gain : place.trim_at) = at;
    }
    double trim(int position) const {
        const scale::BoxPosition& place = truth_.positions[static_cast<unsigned>(position)];
        return truth_.converter == scale::Converter::per_cell ? place.digital_gain : place.trim_at;
    }

    /// Turns the trim of the corner under `load`, no further than its ends, until the display shows
    /// `target_kg`: secants from where it stands and from `guess`, as a hand would.
    void turn_until(int corner, const diagnosis::Load& load, double target_kg, double guess) {
        const bool digital = truth_.converter == scale::Converter::per_cell;
        const double last = digital ? 2.0 : scale::trim_last_position(truth_.trim);
        double a = trim(corner);
        double off_a = shows(load) - target_kg;
        double b =
            std::fabs(guess - a) < 1.0e-4 * last ? a + (a < 0.5 * last ? 1.0e-3 : -1.0e-3) * last : guess;
        for (int i = 0; i < 30; ++i) {
            b = std::clamp(b, 0.0, last);
            set_trim(corner, b);
            const double off_b = shows(load) - target_kg;
            if (std::fabs(off_b) < 1.0e-9 * target_kg || off_b == off_a || a == b) break;
            const double next = b - off_b * (b - a) / (off_b - off_a);
            a = b;
            off_a = off_b;
            b = next;
        }
    }

    /// Zero, load on, turn to `check_kg`, load off: until it stays.
    void turn_until_net(int corner, const diagnosis::Load& load, double check_kg) {
        for (int i = 0; i < 3; ++i) {
            set_zero();
            turn_until(corner, load, check_kg, trim(corner));
        }
    }

    diagnosis::Reading reading(const diagnosis::Load& load) const {
        diagnosis::Reading r;
        r.load = load;
        r.value = shows(load);
        return r;
    }
    std::vector<diagnosis::Reading> corner_readings(double mass_kg) const {
        std::vector<diagnosis::Reading> readings;
        for (int i = 0; i < truth_.cell_count; ++i) readings.push_back(reading(over(i, mass_kg)));
        return readings;
    }

    /// Largest minus smallest corner, kg, zero set anew.
    double spread_kg(double mass_kg) {
        set_zero();
        std::vector<double> weights;
        for (int i = 0; i < truth_.cell_count; ++i) weights.push_back(shows(over(i, mass_kg)));
        return *std::max_element(weights.begin(), weights.end()) -
               *std::min_element(weights.begin(), weights.end());
    }

    const scale::Condition& truth() const { return truth_; }

  private:
    scale::Description description_;
    scale::Condition truth_;
    weighing::ZeroAndSpan calibration_;
};

}  // namespace cornerbench::tests
