#pragma once

#include <cstdint>
#include <string_view>

#include "firmware/diagnosis/corner_report.h"
#include "firmware/storage/kept.h"
#include "firmware/watch/traffic_watch.h"
#include "firmware/weighing/calibration.h"
#include "firmware/weighing/readout.h"

/// What the lines and registers of an indicator act on.
namespace cornerbench::console {

/// Why something was not done. Nothing has changed then.
enum class Refusal : std::uint8_t {
    none,
    no_weight,     ///< there is no weight to act on
    not_stable,    ///< wait until the scale rests
    out_of_range,  ///< a value or a weight outside of what is allowed
    not_positive,  ///< no tare can be made of zero or less
    sealed,        ///< the calibration is sealed
    no_such,       ///< no such channel, support or unit on this scale
    full,          ///< no room for another point or reading
    bad_fit,       ///< the points do not make a calibration: `calibration_error` says why
    busy,          ///< what was changed before is still being stored
    not_stored     ///< the memory did not take it: the old one stays in force
};

/// In a few words, for whoever reads an error queue.
constexpr std::string_view words(Refusal refusal) {
    switch (refusal) {
        case Refusal::none:
            return "done";
        case Refusal::no_weight:
            return "no weight";
        case Refusal::not_stable:
            return "not stable";
        case Refusal::out_of_range:
            return "out of range";
        case Refusal::not_positive:
            return "nothing to tare";
        case Refusal::sealed:
            return "calibration sealed";
        case Refusal::no_such:
            return "no such place on this scale";
        case Refusal::full:
            return "no room for more";
        case Refusal::bad_fit:
            return "points make no calibration";
        case Refusal::busy:
            return "still storing";
        case Refusal::not_stored:
            return "memory failed, nothing changed";
    }
    return "unknown";
}

/// The indicator as seen from its lines. Masses in kg; supports and channels count from 0.
class Instrument {
  public:
    virtual const weighing::Readout& readout() const = 0;

    /// As the panel's keys: sets zero on what weighs now, or takes it as tare.
    virtual Refusal zero() = 0;
    virtual Refusal tare() = 0;
    /// Rounded to the division; 0 clears the tare.
    virtual Refusal preset_tare(double tare_kg) = 0;
    virtual Refusal clear_tare() = 0;
    virtual Refusal show_in(scale::MassUnit unit) = 0;

    /// Max, and the finest division.
    virtual double max_kg() const = 0;
    virtual double division_kg() const = 0;
    /// How far zero stands from the calibration's.
    virtual double zero_offset_kg() const = 0;
    /// 1 on a summed bus, else one per cell.
    virtual int channels() const = 0;
    /// Filtered ratio of a channel, V/V; false while it has none.
    virtual bool channel_ratio(int channel, double& ratio) const = 0;

    /// Notes the ratio that stands now, stable, as what `load_kg` gives. 0 is the empty deck.
    virtual Refusal calibration_point(double load_kg) = 0;
    virtual int calibration_points() const = 0;
    virtual void forget_points() = 0;
    /// Fits the noted points and stores the result; the points stay noted when it is refused.
    virtual Refusal calibrate() = 0;
    /// From the cells' plates, with the ratio that stands now as zero.
    virtual Refusal calibrate_by_rating() = 0;
    /// Turns a calibration made at one gravity into one for another, both in m/s2.
    virtual Refusal move_gravity(double from, double to) = 0;
    /// Factor on a channel in the sum, within bounds of the indicator, stored under the seal. `no_such` in a
    /// box with one channel.
    virtual Refusal set_corner_gain(int channel, double gain) = 0;
    virtual double corner_gain(int channel) const = 0;
    /// Why points or plates made no calibration when it was last tried.
    virtual weighing::CalibrationError calibration_error() const = 0;
    virtual const weighing::Calibration& calibration() const = 0;
    virtual bool calibrated() const = 0;
    /// Whether the calibration may be changed.
    virtual bool seal_open() const = 0;
    /// Changes of the calibration, and of everything else that is kept, since the box was made.
    virtual std::uint32_t calibration_changes() const = 0;
    virtual std::uint32_t configuration_changes() const = 0;
    /// The weight that was printed last, since the box was made.
    virtual const storage::KeptReading& last_reading() const = 0;
    /// Whether a change is still being stored.
    virtual bool storing() const = 0;

    /// The box's own corner check, from readings taken one after another.
    virtual int supports() const = 0;
    /// Takes the gross weight that stands now as the empty deck's, or as that of `mass_kg` over a support.
    /// `not_stable` without one at rest.
    virtual Refusal corner_empty() = 0;
    virtual Refusal corner_loaded(int support, double mass_kg) = 0;
    /// Forgets the round's readings.
    virtual void corner_forget() = 0;
    /// Judged in slices behind every reading: the error `working` until it is done.
    virtual const diagnosis::CornerReport& corner_report() const = 0;

    /// What ordinary trucks have taught the box since power-on or since it was told to learn anew.
    virtual const watch::TrafficWatch& traffic() const = 0;
    virtual void forget_traffic() = 0;

    /// Over everything shown and printed since power-on: equal hashes, equal runs.
    virtual std::uint64_t state_hash() const = 0;

  protected:
    ~Instrument() = default;
};

}  // namespace cornerbench::console
