#pragma once

#include <memory>

#include "hal/conformance/rig.h"
#include "hal/simulated/simulated_board.h"

namespace cornerbench::hal {

/// The bench around a simulated board: it can do everything.
class SimulatedRig : public Rig {
  public:
    explicit SimulatedRig(const SimulatedBoardParts& parts = {})
        : simulated_(std::make_unique<SimulatedBoard>(parts)) {}

    Board board() override { return simulated_->board(); }
    SimulatedBoard& simulated() { return *simulated_; }

    void pass(Microseconds us) override {
        if (simulated_->advance_to(simulated_->clock.time_us() + us)) started();
    }
    bool convert(std::span<const std::int32_t> codes) override {
        simulated_->converter.push(simulated_->clock.time_us(), codes);
        return true;
    }
    bool convert_with_bus_error(int channel) override {
        std::array<std::uint8_t, max_channels> faults{};
        faults[static_cast<std::size_t>(channel)] = sample_bus_error;
        simulated_->converter.push(simulated_->clock.time_us(), {}, faults);
        return true;
    }
    bool lose_frame() override {
        simulated_->converter.skip();
        return true;
    }
    bool peer_sends(std::span<const std::uint8_t> bytes) override {
        simulated_->line.peer_sends(bytes);
        return true;
    }
    bool peer_takes(std::span<std::uint8_t> bytes, std::size_t& count) override {
        count = simulated_->line.peer_takes(bytes);
        return true;
    }
    bool overrun(std::uint8_t filler) override {
        for (std::size_t i = 0; i <= SimulatedLine::capacity; ++i) simulated_->line.peer_sends({&filler, 1});
        return true;
    }
    bool set_connected(bool connected) override {
        simulated_->line.set_connected(connected);
        return true;
    }
    bool press(Key key) override {
        simulated_->panel.press(key);
        return true;
    }
    bool look(PanelPicture& picture) override {
        picture = simulated_->panel.picture();
        return true;
    }
    bool cut_power() override {
        simulated_->start(ResetCause::power_on, ++cuts_);
        started();
        return true;
    }
    bool set_supply_good(bool good) override {
        simulated_->supervisor.set_supply_good(good);
        return true;
    }
    bool set_seal_open(bool open) override {
        simulated_->supervisor.set_seal_open(open);
        return true;
    }

  protected:
    /// The board has started anew.
    virtual void started() {}
    ~SimulatedRig() = default;

  private:
    std::unique_ptr<SimulatedBoard> simulated_;
    std::uint64_t cuts_ = 0;
};

/// Boards that differ in all that the suite's checks depend on.
inline std::array<SimulatedBoardParts, 4> boards_to_check() {
    std::array<SimulatedBoardParts, 4> parts{};
    for (SimulatedBoardParts& each : parts) each.converter.full_scale_V_per_V = 0.0039;
    parts[1].converter.channels = 8;
    parts[1].memory = {.program_size = 256, .block_size = 2048, .block_count = 8};
    parts[1].start_us = 9'000'000'000'000;
    parts[2].converter.channels = max_channels;
    parts[2].converter.bits = 16;
    parts[2].memory = {.program_size = 1, .block_size = 512, .block_count = 1};
    parts[2].memory_times = {.program_unit_us = 0, .erase_us = 0, .sync_us = 0};
    parts[3].converter.channels = 4;
    parts[3].converter.bits = 32;
    parts[3].kick_within_us = 20'000;
    return parts;
}

}  // namespace cornerbench::hal
