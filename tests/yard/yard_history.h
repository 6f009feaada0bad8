#pragma once

#include <map>
#include <string>

#include "sim/bad_days/sliding_range.h"
#include "sim/bad_days/unnoticeable.h"
#include "tests/random_scale.h"
#include "tests/world/random_fault.h"
#include "tests/yard/shipped_yard.h"
#include "tests/yard/yard_models.h"

/// A scale in its yard, with everything that can be done to it, held to the truth at every sample.
namespace cornerbench::tests {

using bad_days::load_that_shows_N;
using bad_days::needs_load_to_show;
using bad_days::SlidingRange;
using bad_days::why_unnoticeable;

/// How often what was looked at, over many histories: a property that was never put to the test holds always.
struct YardTally {
    long shown = 0;                           ///< weights held to the signal
    long held_to_truth = 0;                   ///< and to what stands on the deck
    std::map<scale::Cause, long> wrong_with;  ///< weights outside the limits by what could not be noticed
    long wrong_while_stuck = 0;
    long printed = 0;
    long tared = 0;
    long zeroed = 0;
    long power_cuts = 0;
    long refused_calibrations = 0;
};

class YardHistory {
  public:
    YardHistory(const ShippedScale& scale, std::uint64_t seed)
        : scale_(scale),
          draw_(seed),
          d_(scale.description()),
          surroundings_(drawn_weather()),
          v_(scale.specimen(seed, world::calm(d_))),
          samples_(v_->indicator().weigher().plan().length()),
          mass_(window()),
          pressed_(window()),
          signal_(window()),
          reference_(window()),
          on_faulty_cell_N_(window()) {
        if (d_.converter == scale::Converter::per_cell)
            channels_.assign(static_cast<std::size_t>(d_.cell_count()), SlidingRange(window()));
        keys_.unit = keys_.kept_unit = d_.unit;
        keys_.largest_tare_kg = d_.max_kg;
        keys_.division_kg = d_.division_kg;
    }

    /// Of the recording that replays it.
    void record(hal::TextSink& sink) { v_->record(sink).add_note("scale", scale_.text); }
    void end_recording() { v_->end_recording(); }

    /// The first thing that is wrong, with when and what was done until then; empty when nothing is.
    std::string wrong(int acts);

    const YardTally& tally() const { return tally_; }

  private:
    // In yard_acts.h.
    void act();
    void act_on_loads(int which);
    void press();
    void say();
    void cut_power();
    void disturb_port();
    void spoil_board(bool supply);
    void change_fault();

    world::Surroundings drawn_weather() {
        world::Surroundings s = world::calm(d_);
        if (draw_.chance(0.5)) s.wind.speed_m_per_s = draw_.uniform(0.5, 8.0);
        if (draw_.chance(0.5)) s.day.swing_K = draw_.uniform(1.0, 8.0);
        if (draw_.chance(0.5)) {
            // A stuck code keeps the mains of its moment, which no filter takes out again: less than that may
            // matter.
            s.mains.amplitude_V = draw_.uniform(0.0, 0.1) * d_.excitation_V * ratio_per_division();
            s.mains.frequency_Hz = draw_.one_of({50.0, 60.0});
        }
        return s;
    }

    /// Of one channel; pick-up is in all of them alike.
    double ratio_per_division() const {
        const scale::Cell& cell = d_.cells[0];
        return d_.division_kg * cell.rated_output_V_per_V / cell.capacity_kg / d_.cell_count();
    }

    /// Samples that a shown weight can depend on: filter and average, a stuck code, a silence before it
    /// shows.
    static constexpr double window_s() { return 2.6; }
    std::int64_t window() const { return std::llround(window_s() * d_.rate_Hz); }

    void note(const std::string& what) { done_ += " " + what; }
    void blame(const std::string& what) {
        if (wrong_.empty() && !what.empty())
            wrong_ = what + ", " + std::to_string(v_->time_s()) + " s after the beginning";
    }

    /// What reaches the converter as a weight, by the calibration in force, before any zero.
    double clean_kg(const world::Truth& truth) const {
        double ratio = truth.output.ratio;
        if (d_.converter == scale::Converter::per_cell) {
            ratio = 0.0;
            for (int i = 0; i < d_.cell_count(); ++i)
                ratio +=
                    gain_[static_cast<std::size_t>(i)] * truth.output.channel[static_cast<std::size_t>(i)];
        }
        return calibration_.weight_kg(ratio);
    }

    /// One that nobody can notice is there, or was until so lately that its samples still count.
    bool hidden_fault() const {
        if (fault_ == 0 && v_->time_s() >= mended_s_ + window_s()) return false;
        if (why_unnoticeable(d_, cause_) != nullptr) return true;
        return needs_load_to_show(cause_) && on_faulty_cell_N_.low() < load_that_shows_N(d_, faulty_cell_);
    }

    /// Six standard deviations of one sample, by the reference that is left: of a stuck one, that is, which
    /// nothing averages.
    double noise_kg() const {
        return 6.0 * d_.noise_V_rms / reference_.low() * std::fabs(calibration_.kg_per_ratio);
    }

    bool stuck_lately() const { return v_->time_s() < stuck_at_s_ + window_s(); }

    void frame();
    void stand(double seconds) {
        const double end_s = v_->time_s() + seconds;
        while (v_->time_s() < end_s && wrong_.empty()) frame();
    }
    void see();
    void check();
    void check_samples(const weighing::Readout& r);
    void check_signal(const weighing::Readout& r);
    void check_truth(const weighing::Readout& r);
    void check_panel(const weighing::Readout& r);
    void note_zero_if_set();
    ZeroPoint zero_now() const;
    std::string ask(const std::string& line);

    const ShippedScale& scale_;
    Draw draw_;
    const scale::Description& d_;
    world::Surroundings surroundings_;
    std::unique_ptr<virtual_scale::VirtualScale> v_;
    weighing::Calibration calibration_;
    std::array<double, scale::max_cells> gain_{};
    std::uint32_t changes_ = 0;

    SampleModel samples_;
    KeyModel keys_;
    ZeroModel zero_;
    SlidingRange mass_;
    SlidingRange pressed_;
    SlidingRange signal_;
    SlidingRange reference_;
    SlidingRange on_faulty_cell_N_;
    std::vector<SlidingRange> channels_;  ///< of a box with one per cell

    int vehicle_ = 0;
    std::map<int, double> weights_;
    int fault_ = 0;                               ///< of the world's, 0: none
    scale::Cause cause_ = scale::Cause::healthy;  ///< the last one
    int faulty_cell_ = 0;
    bool deck_settled_ = false;
    double mended_s_ = 0.0;
    int port_fault_ = 0;
    faults::PortFaultKind port_kind_ = faults::PortFaultKind::stuck;
    bool clock_stopped_ = false;
    bool supply_low_ = false;
    double silent_s_ = 0.0;  ///< no frame reached the firmware for so long
    double stuck_s_ = 0.0;
    double stuck_at_s_ = -100.0;

    std::string done_;
    std::string wrong_;
    YardTally tally_;
};

inline void YardHistory::frame() {
    v_->frame();
    see();
    if (v_->powered() && wrong_.empty()) check();
}

/// The truth of the last sample, into the windows.
inline void YardHistory::see() {
    const world::Truth truth = v_->world().truth();
    mass_.push(truth.mass_on_deck_kg);
    pressed_.push(truth.pressed_kg);
    signal_.push(clean_kg(truth));
    for (std::size_t i = 0; i < channels_.size(); ++i) channels_[i].push(gain_[i] * truth.output.channel[i]);
    on_faulty_cell_N_.push(truth.cell_N[static_cast<std::size_t>(faulty_cell_)]);
    reference_.push(std::fmax(truth.output.reference_V, 1.0e-3));
}

inline void YardHistory::check() {
    const Indicator& indicator = v_->indicator();
    const weighing::Readout& r = indicator.readout();
    // The firmware may follow it with its zero.
    if (hidden_fault()) zero_.in_force.sound = false;
    check_samples(r);
    if (!indicator.storing()) {
        zero_.stored();
        keys_.kept_unit = indicator.kept().unit;
    }
    blame(keys_.check(r, indicator.ticket().number));
    check_panel(r);
    if (indicator.calibration_changes() != changes_) blame("changed a sealed calibration");
    if (!r.has_weight()) return;
    ++tally_.shown;
    zero_.in_force.follow(zero_now(), d_.division_kg);
    check_signal(r);
    check_truth(r);
}

/// No weight with a sample behind it that is missing or that somebody could see to be bad.
inline void YardHistory::check_samples(const weighing::Readout& r) {
    using Kind = faults::PortFaultKind;
    const double period_s = 1.0 / d_.rate_Hz;
    const bool lost = port_fault_ != 0 && port_kind_ == Kind::frames_lost;
    const bool stuck = port_fault_ != 0 && port_kind_ == Kind::stuck;
    const bool one_channel = d_.converter != scale::Converter::per_cell;
    const bool exchanged = port_fault_ != 0 && port_kind_ == Kind::channels_exchanged;
    const bool noticed = supply_low_ || (port_fault_ != 0 && !lost && !stuck && !(exchanged && one_channel));
    silent_s_ = lost ? silent_s_ + period_s : 0.0;
    stuck_s_ = stuck ? stuck_s_ + period_s : 0.0;
    if (stuck) stuck_at_s_ = v_->time_s();
    if (lost)
        samples_.restart();
    else if (clock_stopped_)
        ++samples_.waiting;
    else
        samples_.sample(!noticed);
    if (!r.has_weight()) return;
    if (clock_stopped_) return blame("weighs without a clock");
    if (supply_low_) return blame("weighs with a low supply");
    // A weight may stand until its last sample is stale; half a second of one code is no noise any more.
    if (silent_s_ > 0.35) return blame("weighs without samples");
    if (stuck_s_ > 0.6) return blame("weighs with a stuck code");
    if (lost || exchanged) return;
    if (!samples_.may_show()) blame("weighs with a bad sample behind it");
}

/// The filters weigh with positive weights only, so a weight lies between the signals that it was made of;
/// half a division for noise is the least limit of any class (R 76-1:2006, table 6).
inline void YardHistory::check_signal(const weighing::Readout& r) {
    const double slack_kg = 0.5 * d_.division_kg + noise_kg();
    double low_kg = signal_.low();
    double high_kg = signal_.high();
    if (stuck_lately() && !channels_.empty()) {
        // One channel's old sample beside the others' new ones: each lies within its own.
        double low = 0.0;
        double high = 0.0;
        for (const SlidingRange& channel : channels_) {
            low += channel.low();
            high += channel.high();
        }
        low_kg = calibration_.weight_kg(low);
        high_kg = calibration_.weight_kg(high);
    }
    const double weight_kg = r.gross_kg + v_->indicator().zero_offset_kg();
    if (weight_kg < low_kg - slack_kg || weight_kg > high_kg + slack_kg)
        blame("shows " + std::to_string(weight_kg) + " kg where the signal said " + std::to_string(low_kg) +
              " to " + std::to_string(high_kg));
}

/// Within the limits in service of what stood on the deck while the weight was made, or pressed on it.
inline void YardHistory::check_truth(const weighing::Readout& r) {
    const double low_kg = std::fmin(mass_.low(), pressed_.low()) - zero_.in_force.high_kg;
    const double high_kg = std::fmax(mass_.high(), pressed_.high()) - zero_.in_force.low_kg;
    double slack_kg = r.stable ? 0.0 : noise_kg();
    // Once the deck's weight has moved between cells that differ by their tolerance, zero is not quite what
    // it was, and neither is one that was set meanwhile when it has moved back.
    if (deck_settled_) slack_kg += 0.5 * d_.division_kg;
    const bool wrong = r.gross_kg < low_kg - scale_.limit_kg(low_kg) - slack_kg ||
                       r.gross_kg > high_kg + scale_.limit_kg(high_kg) + slack_kg;
    if (hidden_fault()) {
        tally_.wrong_with[cause_] += wrong && r.stable ? 1 : 0;
        return;
    }
    // A code that stands still for less than fifty samples may be chance. A scale in motion, with one channel
    // that says what was, then shows what no load was; at rest it cannot.
    if (stuck_lately() && !r.stable) {
        tally_.wrong_while_stuck += wrong ? 1 : 0;
        return;
    }
    if (!zero_.in_force.sound) return;
    ++tally_.held_to_truth;
    if (wrong)
        blame("shows " + std::to_string(r.gross_kg) + " kg under " + std::to_string(low_kg) + " to " +
              std::to_string(high_kg) + " kg" + (r.stable ? ", stable" : ", in motion"));
}

inline void YardHistory::check_panel(const weighing::Readout& r) {
    const hal::PanelPicture& picture = v_->board().panel.picture();
    const bool digits = picture.digits != decltype(picture.digits){};
    if (digits != r.has_weight()) blame("the panel shows digits without a weight, or none with one");
}

inline ZeroPoint YardHistory::zero_now() const {
    return {v_->indicator().zero_offset_kg(),
            std::fmin(mass_.low(), pressed_.low()),
            std::fmax(mass_.high(), pressed_.high()),
            mass_.low(),
            mass_.high(),
            !hidden_fault()};
}

/// Zero was set in this step if a weight at rest now is exactly zero.
inline void YardHistory::note_zero_if_set() {
    const weighing::Readout& r = v_->indicator().readout();
    if (!KeyModel::rests(r) || r.gross_kg != 0.0) return;
    const ZeroPoint point = zero_now();
    if (std::fabs(point.offset_kg) > 0.041 * d_.max_kg) blame("zeroed more than its range");
    zero_.set(point);
    keys_.clear_tare();
    ++tally_.zeroed;
}

}  // namespace cornerbench::tests
