#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "firmware/console/console.h"
#include "firmware/diagnosis/corner_round.h"
#include "firmware/storage/kept_store.h"
#include "firmware/watch/weigher_watch.h"
#include "firmware/weighing/weigher.h"
#include "hal/board.h"

/// The application: an indicator on a board. The only part that knows all others.
namespace cornerbench {

/// What is fixed when the firmware is built for one scale.
struct IndicatorSettings {
    weighing::WeigherSettings weigher;
    weighing::CalibrationSettings calibration;
    std::array<weighing::RatedCell, scale::max_cells> cells{};
    int cell_count = 0;
    scale::Converter converter = scale::Converter::summed;
    double gravity = scale::standard_gravity;
    diagnosis::CornerScale corners;
    /// False: power comes on with the zero that was kept, so that a truck standing there is weighed; a zero
    /// that was lost before is lost still. True: what stands there, within the initial range, is zero.
    bool find_zero_at_power_on = false;
    /// How far the followed zero has to move from the kept one, and how long that has to be ago, before it is
    /// kept anew: memory wears out.
    double keep_zero_divisions = 0.5;
    std::int64_t keep_zero_us = 600'000'000;
    console::Identity identity;
};

/// A corner gain beyond these mends no tolerance, it hides a fault (common practice, no source).
inline constexpr double least_corner_gain = 0.9;
inline constexpr double largest_corner_gain = 1.1;

/// What was printed last.
struct Ticket {
    std::uint32_t number = 0;  ///< counts from 1 since power-on; 0: nothing was printed
    std::int64_t printed_us = 0;
    weighing::Readout readout;
};

/// What came of the panel's last key.
struct KeyOutcome {
    std::uint32_t number = 0;  ///< counts from 1 since power-on; 0: no key was pressed
    console::Refusal refusal = console::Refusal::none;
};

/// Runs in steps and waits for nothing. One step takes what has come since the last one, so call it at least
/// ten times a second; how often beyond that changes nothing that is shown.
class Indicator final : public console::Instrument {
  public:
    /// `board`'s parts have to outlive the indicator.
    Indicator(const hal::Board& board, const IndicatorSettings& settings);

    /// One round: time, supply, frames, keys, line, memory, panel, watchdog.
    void step();

    const Ticket& ticket() const { return ticket_; }
    const KeyOutcome& last_key() const { return last_key_; }
    /// What is in force and, unless `storing` or lost, in the memory.
    const storage::Kept& kept() const { return kept_; }
    const weighing::Weigher& weigher() const { return weigher_; }
    /// What ordinary trucks have told of the scale since power-on.

    const weighing::Readout& readout() const override { return weigher_.readout(); }
    console::Refusal zero() override;
    console::Refusal tare() override;
    console::Refusal preset_tare(double tare_kg) override;
    console::Refusal clear_tare() override;
    /// Kept, and counted as a change of configuration; the panel's key only shows.
    console::Refusal show_in(scale::MassUnit unit) override;
    /// Makes a ticket of the weight shown and keeps it. `no_weight` or `not_stable` where none is shown at
    /// rest.
    console::Refusal print();
    double max_kg() const override { return weigher_.max_kg(); }
    double division_kg() const override { return weigher_.finest_division_kg(); }
    double zero_offset_kg() const override { return weigher_.zero_offset_kg(); }
    int channels() const override { return settings_.weigher.converter.channels; }
    bool channel_ratio(int channel, double& ratio) const override {
        return weigher_.channel_ratio(channel, ratio);
    }

    console::Refusal calibration_point(double load_kg) override;
    int calibration_points() const override { return point_count_; }
    void forget_points() override {
        point_count_ = 0;
        empty_noted_ = false;
    }
    console::Refusal calibrate() override;
    console::Refusal calibrate_by_rating() override;
    console::Refusal move_gravity(double from, double to) override;
    console::Refusal set_corner_gain(int channel, double gain) override;
    double corner_gain(int channel) const override;
    weighing::CalibrationError calibration_error() const override { return calibration_error_; }
    const weighing::Calibration& calibration() const override { return kept_.calibration; }
    bool calibrated() const override { return kept_.calibrated; }
    bool seal_open() const override { return board_.supervisor.seal_open(); }
    std::uint32_t calibration_changes() const override { return kept_.calibration_changes; }
    std::uint32_t configuration_changes() const override { return kept_.configuration_changes; }
    const storage::KeptReading& last_reading() const override { return kept_.last_reading; }
    bool storing() const override { return store_.saving(); }

    int supports() const override { return corners_.supports(); }
    console::Refusal corner_empty() override;
    console::Refusal corner_loaded(int support, double mass_kg) override;
    void corner_forget() override { corners_.forget(); }
    const diagnosis::CornerReport& corner_report() const override { return corners_.report(); }

    const watch::TrafficWatch& traffic() const override { return traffic_.traffic(); }
    void forget_traffic() override { traffic_.restart(); }

    std::uint64_t state_hash() const override { return hash_; }

  private:
    /// What is being stored, and so what follows once it is.
    enum class Purpose : std::uint8_t { nothing, calibration, along, configuration };

    void start_up();
    void lose_settings(const storage::Kept& rest);
    void take_frames();
    void weigh(const hal::Frame& frame) {
        weigher_.take(frame);
        if (!traffic_.due(weigher_)) return;
        std::array<double, scale::max_cells> kg{};
        const std::size_t count = read_channels(kg);
        for (std::size_t i = 0; i < count; ++i) kg[i] *= kept_.corner_gain[i];
        traffic_.take(weigher_, std::span(kg).first(count), now_us_);
    }
    void take_keys();
    void go_on_storing();
    void keep_what_is_due();
    bool zero_to_keep() const;
    void show_panel();
    void mix(std::uint64_t value);
    void put_in_force(const storage::Kept& kept, Purpose purpose);
    console::Refusal store(storage::Kept& changed, Purpose purpose);
    console::Refusal store_calibration(const weighing::CalibrationFit& fit);
    console::Refusal may_calibrate() const;
    void note_empty();
    void keep_empty(storage::Kept& changed) const;
    std::size_t read_channels(std::array<double, scale::max_cells>& kg) const;

    hal::Board board_;
    IndicatorSettings settings_;
    weighing::Weigher weigher_;
    diagnosis::CornerRound corners_;
    watch::WeigherWatch traffic_{settings_.weigher, settings_.cell_count};
    storage::KeptStore store_;
    console::Console console_;

    storage::Kept kept_;    ///< in force
    storage::Kept coming_;  ///< being stored for `purpose_`
    Purpose purpose_ = Purpose::nothing;
    bool started_ = false;
    std::int64_t zero_kept_us_ = 0;
    bool settings_lost_ = false;
    bool settled_ = true;       ///< nothing that was found in doubt waits to be written once more
    bool reading_due_ = false;  ///< a ticket was printed and is not in the memory yet
    bool zero_due_ = false;     ///< the zero key was pressed while something else was being stored
    bool lost_kept_ = false;    ///< that zero is lost, as it was last given to the memory

    std::array<weighing::CalibrationPoint, weighing::max_calibration_points> points_{};
    int point_count_ = 0;
    std::array<float, scale::max_cells> empty_ratio_{};  ///< of each channel, when an empty deck was noted
    bool empty_noted_ = false;
    weighing::CalibrationError calibration_error_ = weighing::CalibrationError::none;

    std::int64_t now_us_ = 0;
    std::uint64_t hash_ = 14695981039346656037ull;
    std::optional<hal::PanelPicture> shown_;
    Ticket ticket_;
    KeyOutcome last_key_;
};

}  // namespace cornerbench
