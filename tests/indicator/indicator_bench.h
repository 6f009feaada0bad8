#pragma once

#include <catch2/catch.hpp>
#include <memory>

#include "firmware/indicator.h"
#include "hal/simulated/simulated_board.h"
#include "tests/weighing/frames.h"

/// An indicator on a simulated board with a converter that reads a load.
namespace cornerbench::indicator_test {

inline IndicatorSettings bench_settings(int channels = 1) {
    IndicatorSettings settings;
    settings.weigher = weighing_test::bridge_settings(channels);
    settings.calibration.max_kg = 60000.0;
    settings.calibration.division_kg = 20.0;
    settings.calibration.full_scale_ratio = 3.9e-3 * channels;
    settings.cell_count = 8;
    settings.converter = channels > 1 ? scale::Converter::per_cell : scale::Converter::summed;
    for (int i = 0; i < 8; ++i) settings.cells[static_cast<std::size_t>(i)] = {30000.0, 2.0e-3};
    return settings;
}

class IndicatorBench {
  public:
    explicit IndicatorBench(const IndicatorSettings& settings = bench_settings())
        : settings_(settings), maker_(settings.weigher.converter) {
        hal::SimulatedBoardParts parts;
        parts.converter = settings.weigher.converter;
        parts.memory = {8, 4096, 2};
        parts.start_us = maker_.now_us();
        board_ = std::make_unique<hal::SimulatedBoard>(parts);
        start();
    }

    /// Power comes back; what the memory kept is still there.
    void restart(std::uint64_t seed = 1) {
        board_->start(hal::ResetCause::power_on, seed);
        start();
    }

    /// `seconds` under `load_kg`, by 0.2 mV/V and 1 mV/V for 60 t.
    void weigh(double load_kg, double seconds) {
        for (int i = 0; i < static_cast<int>(100 * seconds); ++i) one_frame(load_kg);
    }

    void one_frame(double load_kg) {
        const std::int64_t now_us = maker_.now_us();
        board_->converter.push_as_is(maker_.next(0.2e-3 + load_kg / 6.0e7, 13.0));
        board_->advance_to(now_us);
        indicator_->step();
    }

    /// A frame with these codes and faults, at its time.
    void push_code(std::span<const std::int32_t> codes, std::span<const std::uint8_t> faults) {
        hal::Frame frame = maker_.next(0.0);
        for (std::size_t i = 0; i < codes.size(); ++i) frame.code[i] = codes[i];
        for (std::size_t i = 0; i < faults.size(); ++i) frame.fault[i] = faults[i];
        weighing_test::seal(frame, settings_.weigher.converter.channels);
        board_->converter.push_as_is(frame);
        board_->advance_to(frame.taken_us);
        indicator_->step();
    }

    /// Time without frames.
    void silence(double seconds) {
        for (int i = 0; i < static_cast<int>(100 * seconds); ++i) {
            maker_.lose(1);
            board_->advance_to(maker_.now_us());
            indicator_->step();
        }
    }

    /// Seal off, two points, stored, seal on.
    void calibrate() {
        board_->supervisor.set_seal_open(true);
        weigh(0.0, 3.0);
        REQUIRE(indicator().calibration_point(0.0) == console::Refusal::none);
        weigh(30000.0, 3.0);
        REQUIRE(indicator().calibration_point(30000.0) == console::Refusal::none);
        REQUIRE(indicator().calibrate() == console::Refusal::none);
        weigh(30000.0, 1.0);
        REQUIRE_FALSE(indicator().storing());
        REQUIRE(indicator().calibrated());
        board_->supervisor.set_seal_open(false);
    }

    Indicator& indicator() { return *indicator_; }
    hal::SimulatedBoard& board() { return *board_; }
    const weighing::Readout& readout() const { return indicator_->readout(); }

  private:
    void start() { indicator_ = std::make_unique<Indicator>(board_->board(), settings_); }

    IndicatorSettings settings_;
    weighing_test::FrameMaker maker_;
    std::unique_ptr<hal::SimulatedBoard> board_;
    std::unique_ptr<Indicator> indicator_;
};

}  // namespace cornerbench::indicator_test
