#pragma once

#include <array>
#include <cstdint>

#include "firmware/console/instrument.h"

namespace cornerbench::console::testing {

/// An instrument that has nothing behind it: it notes what is asked of it and says what it was told to say.
class FakeInstrument final : public Instrument {
  public:
    mutable weighing::Readout now;
    Refusal key_answer = Refusal::none;
    bool open_seal = false;
    bool storing_now = false;
    bool calibrated_now = true;
    bool store_at_once = true;
    weighing::CalibrationError fit_error = weighing::CalibrationError::none;
    weighing::Calibration fitted{1.0e-4, 3.1e7, 0.0};
    std::array<double, 4> ratios{1.0e-3, -2.5e-4, 1.234567891e-3, 0.0};
    std::array<double, 4> gains{1.0, 1.01, 0.99, 1.0};
    diagnosis::CornerReport report;
    storage::KeptReading printed;
    watch::TrafficWatch watched;

    int zeros = 0;
    int tares = 0;
    int tare_clears = 0;
    int corners_empty = 0;
    int corners_loaded = 0;
    int corners_forgotten = 0;
    int last_support = -1;
    double last_mass_kg = 0.0;
    double preset_kg = 0.0;
    double point_kg = -1.0;
    int points = 0;
    std::uint32_t calibrations = 0;
    std::uint32_t configurations = 0;
    bool moving = false;  ///< another readout whenever one is asked for
    mutable int corner_checks = 0;

    FakeInstrument() { weigh(14220, 0); }

    /// Shows `digits` with `decimals`, stable, no tare.
    void weigh(std::int64_t digits, int decimals) {
        now.why = weighing::NoWeight::none;
        now.gross = now.net = {digits, decimals};
        now.tare = {0, decimals};
        now.stable = true;
        ++now.number;
    }
    void lose(weighing::NoWeight why, int channel = -1) {
        now.why = why;
        now.channel = channel;
    }

    const weighing::Readout& readout() const override {
        if (moving) {
            ++now.number;
            now.gross.digits = now.net.digits = now.taken_us = now.number;
        }
        return now;
    }
    Refusal zero() override {
        ++zeros;
        return key_answer;
    }
    Refusal tare() override {
        ++tares;
        return key_answer;
    }
    Refusal preset_tare(double tare_kg) override {
        preset_kg = tare_kg;
        return key_answer;
    }
    Refusal clear_tare() override {
        ++tare_clears;
        return Refusal::none;
    }
    Refusal show_in(scale::MassUnit unit) override {
        now.unit = unit;
        return Refusal::none;
    }
    double max_kg() const override { return 60000.0; }
    double division_kg() const override { return 20.0; }
    double zero_offset_kg() const override { return 12.5; }
    int channels() const override { return static_cast<int>(ratios.size()); }
    bool channel_ratio(int channel, double& ratio) const override {
        ratio = ratios.at(static_cast<std::size_t>(channel));
        return channel != 3;
    }

    Refusal calibration_point(double load_kg) override {
        if (!open_seal) return Refusal::sealed;
        if (!(load_kg >= 0.0 && load_kg <= max_kg())) return Refusal::out_of_range;
        if (points == weighing::max_calibration_points) return Refusal::full;
        point_kg = load_kg;
        ++points;
        return Refusal::none;
    }
    int calibration_points() const override { return points; }
    void forget_points() override { points = 0; }
    Refusal calibrate() override {
        if (points < 2) fit_error = weighing::CalibrationError::too_few_points;
        return change(fit_error == weighing::CalibrationError::none);
    }
    Refusal calibrate_by_rating() override { return change(true); }
    Refusal move_gravity(double from, double to) override { return change(from > 9.7 && to > 9.7); }
    Refusal set_corner_gain(int channel, double gain) override {
        const Refusal refusal = change(gain >= 0.9 && gain <= 1.1);
        if (refusal == Refusal::none) gains.at(static_cast<std::size_t>(channel)) = gain;
        return refusal == Refusal::bad_fit ? Refusal::out_of_range : refusal;
    }
    double corner_gain(int channel) const override { return gains.at(static_cast<std::size_t>(channel)); }
    weighing::CalibrationError calibration_error() const override { return fit_error; }
    const weighing::Calibration& calibration() const override { return fitted; }
    bool calibrated() const override { return calibrated_now; }
    bool seal_open() const override { return open_seal; }
    std::uint32_t calibration_changes() const override { return calibrations; }
    std::uint32_t configuration_changes() const override { return configurations; }
    const storage::KeptReading& last_reading() const override { return printed; }
    bool storing() const override { return storing_now; }

    int supports() const override { return 4; }
    Refusal corner_empty() override {
        ++corners_empty;
        return key_answer;
    }
    Refusal corner_loaded(int support, double mass_kg) override {
        ++corners_loaded;
        last_support = support;
        last_mass_kg = mass_kg;
        return key_answer;
    }
    void corner_forget() override { ++corners_forgotten; }
    const diagnosis::CornerReport& corner_report() const override {
        ++corner_checks;
        return report;
    }
    const watch::TrafficWatch& traffic() const override { return watched; }
    void forget_traffic() override { watched.restart(); }
    std::uint64_t state_hash() const override { return 0x0123456789ABCDEFull; }

  private:
    Refusal change(bool good) {
        if (!open_seal) return Refusal::sealed;
        if (!good) return Refusal::bad_fit;
        if (store_at_once)
            ++calibrations;
        else
            storing_now = true;
        return Refusal::none;
    }
};

}  // namespace cornerbench::console::testing
