#pragma once

#include <cstdint>

#include "firmware/diagnosis/reading.h"
#include "firmware/weighing/still_scale.h"
#include "sim/field/places.h"
#include "sim/field/random_source.h"

namespace cornerbench::field {

/// One technician with instruments at one scale: puts weights on it and writes down what is shown.
class FieldReadings {
  public:
    FieldReadings(const scale::Description& description, const scale::Condition& truth,
                  const weighing::ZeroAndSpan& calibration, const diagnosis::Instruments& instruments,
                  bool noisy, std::uint64_t seed);

    /// Takes everything off the deck.
    void unload();

    /// Puts `mass_kg` as near to `place` as people do.
    void load(double mass_kg, Place place);

    /// Adds as much at the same place as stands there already, and takes it off again.
    void come_down_from_twice();

    /// Readings of what stands on the deck now; `position` counts box positions from 0.
    diagnosis::Reading weight();
    diagnosis::Reading channel(int position);
    diagnosis::Reading lifted_signal(int position);
    diagnosis::Reading resistance(int position, scale::Wire a, scale::Wire b);
    diagnosis::Reading excitation(diagnosis::ExcitationPlace place, int position = 0);

    mechanics::DeckError error() const { return scale_.error(); }

    /// Sets zero on what the scale shows now.
    void zero();
    const weighing::ZeroAndSpan& calibration() const { return calibration_; }

  private:
    double noise(double standard_deviation) { return noisy_ ? standard_deviation * random_.normal() : 0.0; }
    double shown_to(double value, double step) const;
    const scale::CellCondition& landed_cell(int position) const;

    const scale::Description& description_;
    diagnosis::Instruments instruments_;
    bool noisy_ = true;
    RandomSource random_;
    double weights_error_ = 0.0;
    weighing::StillScale scale_;
    weighing::ZeroAndSpan calibration_;
    diagnosis::Load intended_;
    mechanics::PointLoad standing_;
};

}  // namespace cornerbench::field
