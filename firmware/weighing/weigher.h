#pragma once

#include <array>
#include <cstdint>
#include <span>

#include "firmware/scale/numbering.h"
#include "firmware/weighing/calibration.h"
#include "firmware/weighing/display_filter.h"
#include "firmware/weighing/filter.h"
#include "firmware/weighing/readout.h"
#include "firmware/weighing/rules.h"
#include "firmware/weighing/sample_check.h"
#include "firmware/weighing/stability.h"
#include "firmware/weighing/zero.h"
#include "hal/converter.h"

/// From the converter's frames to a readout: every step of the chain behind the converter, in order.
namespace cornerbench::weighing {

/// What one cell of a box with a channel for each can give. As made, nothing is looked at.
struct CellLimits {
    double most_V_per_V = 0.0;  ///< beyond it the cell carries more than its capacity; 0: not looked at
    /// Of a load somewhere on the deck, the largest share by which it may lift this support.
    double lifted_share = 0.0;
    /// What its reading may lose on its own, by drift and settling; 0: not looked at.
    double least_drop_kg = 0.0;
};

/// Fixed while the weigher lives. That the rules allow it is for their maker to see to (`zero_settings`,
/// `check_settings`).
struct WeigherSettings {
    PartialRanges ranges;                              ///< the last one's Max is the scale's
    scale::MassUnit unit = scale::MassUnit::kilogram;  ///< of the calibration and at power-on
    hal::ConverterTraits converter;
    FilterSettings filter;  ///< its rate and bits are taken from `converter`
    SampleCheckSettings samples;
    /// Standard deviation of one converter sample at rest, V/V: its own noise and what the yard adds.
    double noise_V_per_V = 0.0;
    int longest_average = 16;
    StabilitySettings stability;
    ZeroSettings zero;
    RangeSettings range;
    /// No frame for so long: what is shown is stale.
    std::int64_t stale_us = 300'000;
    /// Channel whose cell stands across the deck, for one that is lost; used with `weigh_degraded` alone.
    std::array<std::int8_t, scale::max_cells> mate{};
    bool weigh_degraded = false;  ///< the rules let a weight without one cell be shown at all
    /// Of the cell at each channel; not looked at with one channel.
    std::array<CellLimits, hal::max_channels> cell{};
};

/// Answer to a key or a command.
enum class KeyAnswer : std::uint8_t {
    done,
    no_weight,  ///< there is none to act on
    not_stable,
    out_of_range,
    not_positive  ///< no tare can be made of zero or less
};

/// The whole chain. Feed it frames as they come, and the time between them. Big: place it statically.
class Weigher {
  public:
    Weigher() = default;

    /// Nothing is shown before a calibration is given.
    explicit Weigher(const WeigherSettings& settings);

    /// Whether anything can be weighed by the settings: filter, ranges, channels.
    bool usable() const { return usable_; }

    /// A calibration, and the gain of each channel of a box with several; 1 on a summed bus. Zero starts
    /// over.
    void calibrate(const Calibration& calibration, std::span<const double> corner_gains);

    /// Starts from a zero that was kept, instead of finding one: a load that stood on the deck at power-on is
    /// then weighed and not taken for zero. False when it lies out of range: the zero is sought.
    bool keep_zero(double offset_kg);

    /// The deck came to rest below the range before power went: no weight until zero is set.
    void lose_zero() { zero_lost_ = true; }
    bool zero_lost() const { return zero_lost_; }

    /// Each channel's ratio on the empty deck, V/V, when zero was set last.
    void keep_empty(std::span<const float> ratios);
    /// False while that is not known.
    bool empty_ratio(int channel, double& ratio) const;

    /// Takes the next frame.
    void take(const hal::Frame& frame);

    /// To be called at least ten times a second, with frames or without: finds out that none come. `board` is
    /// what makes every sample worthless, such as `supply_low`; none as long as all is well.
    void look(std::int64_t now_us, NoWeight board = NoWeight::none);

    /// Why there is no calibration, shown until there is one; `not_calibrated` when nothing else is said.
    void explain_missing_calibration(NoWeight why) { uncalibrated_ = why; }

    /// Never shows a weight: the converter is not the one in the settings.
    void refuse_settings();

    const Readout& readout() const { return readout_; }

    /// The keys, and the commands that do the same. After any answer but `done` nothing has changed.
    KeyAnswer zero_key();
    KeyAnswer tare_key();
    KeyAnswer preset_tare(double tare_kg);
    KeyAnswer clear_tare();
    KeyAnswer show_in(scale::MassUnit unit);

    /// The gross weight at rest, in kg before rounding, beyond the range too: for checks that a faulty scale
    /// has to go through, never to be shown as a weight. False without one.
    bool settled_kg(double& gross_kg) const;

    /// The averaged ratio to calibrate with, V/V: valid, stable, before any zero. False without one.
    bool stable_ratio(double& ratio) const;

    /// Filtered ratio of one channel, V/V; false while it has none.
    bool channel_ratio(int channel, double& ratio) const;

    /// Weight of the latest output alone, not averaged, in kg before any zero. Meaningless before the first.
    double momentary_kg() const { return momentary_kg_; }
    /// Whether the outputs have come to rest, shown or not.
    bool at_rest() const { return stability_.stable(); }
    /// Outputs that could be weighed with every channel, and breaks in them since power-on, modulo 2^32.
    std::uint32_t outputs() const { return outputs_; }
    std::uint32_t breaks() const { return breaks_; }

    const Calibration& calibration() const { return calibration_; }
    bool calibrated() const { return calibrated_; }
    double zero_offset_kg() const { return zero_.offset_kg(); }
    bool zero_established() const { return zero_.established(); }
    /// Max of the last range.
    double max_kg() const;
    double finest_division_kg() const { return settings_.ranges.ranges[0].division_kg; }
    const WeigherSettings& settings() const { return settings_; }
    const FilterPlan& plan() const { return plan_; }

  private:
    void push_frame(const hal::Frame& frame, const FrameVerdict& verdict);
    void push_lost(std::int64_t frames);
    bool may_go_on_without(const FrameVerdict& verdict) const;
    void take_outputs(std::int64_t taken_us);
    bool add_up(double& sum, bool& degraded) const;
    bool replace_lost(std::size_t lost, double& sum) const;
    void establish_zero();
    void judge_cells();
    bool lost_dead_load(std::size_t channel) const;
    void note_empty();
    void interrupt();
    void show_nothing(NoWeight why, int channel);
    void show();
    ShownWeight rounded(double weight_kg) const;
    KeyAnswer answer_to(TareAnswer answer);
    void restart_zero();

    WeigherSettings settings_;
    FilterPlan plan_;
    bool usable_ = false;
    bool calibrated_ = false;
    Calibration calibration_;
    std::array<double, hal::max_channels> gain_{};
    double ratio_per_sum_ = 0.0;

    SampleCheck check_;
    std::array<Filter, hal::max_channels> filter_{};
    std::array<Filtered, hal::max_channels> filtered_{};
    DisplayFilter display_;
    Stability stability_;
    Zero zero_;
    Tare tare_;
    Readout readout_;

    std::array<double, hal::max_channels> empty_{};  ///< each channel's sum when zero was set
    bool empty_known_ = false;

    NoWeight cell_why_ = NoWeight::none;  ///< what is wrong with a cell, by the newest outputs
    std::int32_t cell_channel_ = -1;
    NoWeight latest_ = NoWeight::starting;  ///< of the newest frame
    std::int32_t latest_channel_ = -1;
    bool started_ = false;  ///< a valid output has come since power-on
    bool weighed_ = false;  ///< `weight_kg_` holds
    bool degraded_ = false;
    bool zero_lost_ = false;  ///< it came to rest below the range since zero was set
    double weight_kg_ = 0.0;  ///< averaged, before any zero
    std::int64_t taken_us_ = 0;
    double momentary_kg_ = 0.0;
    std::uint32_t outputs_ = 0;
    std::uint32_t breaks_ = 0;

    NoWeight board_ = NoWeight::none;
    NoWeight uncalibrated_ = NoWeight::not_calibrated;
    bool watched_ = false;
    std::int64_t heard_us_ = 0;  ///< when the last frame came, or the watch began
};

}  // namespace cornerbench::weighing
