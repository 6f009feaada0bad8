#pragma once

#include <cstdint>

#include "firmware/diagnosis/reading.h"
#include "firmware/weighing/still_scale.h"
#include "sim/field/places.h"
#include "sim/field/random_source.h"
#include "sim/field/unmodelled.h"

namespace cornerbench::field {

/// One technician with instruments at one scale: puts weights on it and writes down what is shown.
class FieldReadings {
  public:
    FieldReadings(const scale::Description& description, const scale::Condition& truth,
                  const weighing::ZeroAndSpan& calibration, const diagnosis::Instruments& instruments,
                  bool noisy, std::uint64_t seed, const Unmodelled& unmodelled = {});

    /// The same with exact readings, of loads that stand where `placed` says and weigh as much.
    FieldReadings(const scale::Description& description, const scale::Condition& truth,
                  const weighing::ZeroAndSpan& calibration, const diagnosis::Instruments& instruments,
                  RandomSource placed);

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
    bool creeps() const { return noisy_ && unmodelled_.creep > 0.0; }
    /// Where a weight is set down beside where it should stand, in one direction.
    double misplaced_m();
    /// What the zero and the hum of this moment add to a weight.
    double unsteady_kg(double division_kg);
    /// An error of an instrument with this uncertainty, of which `same` is in all its readings.
    double instrument_error(double uncertainty, double same);
    double shown_to(double value, double step) const;
    const scale::CellCondition& landed_cell(int position) const;

    const scale::Description& description_;
    diagnosis::Instruments instruments_;
    bool noisy_ = true;
    bool misplaced_ = true;
    RandomSource random_;
    Unmodelled unmodelled_;
    RandomSource surroundings_;
    double drift_divisions_ = 0.0;  ///< by the end of a round of ten weights
    int weights_put_ = 0;
    /// Of each instrument in all its readings, in its standard uncertainties.
    double ohmmeter_ = 0.0;
    double insulation_tester_ = 0.0;
    double voltmeter_ = 0.0;
    double millivoltmeter_gain_ = 0.0;
    double weights_error_ = 0.0;
    weighing::StillScale scale_;
    weighing::ZeroAndSpan calibration_;
    diagnosis::Load intended_;
    mechanics::PointLoad standing_;
};

}  // namespace cornerbench::field
