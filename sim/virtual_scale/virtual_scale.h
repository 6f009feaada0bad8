#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <string_view>

#include "firmware/indicator.h"
#include "hal/recorded/recording_board.h"
#include "hal/simulated/simulated_board.h"
#include "sim/faults/port_faults.h"
#include "sim/world/world.h"

namespace cornerbench::virtual_scale {

/// A scale in its yard with the real firmware behind its converter. In a box with a channel per cell, a trim
/// that is off is a wrong corner factor: somebody enters it into the firmware, past the seal, and the right
/// one when the fault is mended.
class VirtualScale {
  public:
    /// `specimen` is the scale as it really is. Nothing is calibrated yet; power is on.
    VirtualScale(const scale::Description& description, const scale::Condition& specimen,
                 const IndicatorSettings& settings, std::uint64_t seed,
                 const world::Surroundings& surroundings);

    /// Before the first frame: from here on every call between firmware and board goes to `sink`, which has
    /// to outlive this. Returns where notes can be laid beside them.
    hal::RecordingBoard& record(hal::TextSink& sink);

    /// Lays a note beside the calls of the recording, between two steps; nothing without one.
    void add_note(std::string_view name, std::string_view text);

    /// Ends the recording. False when the sink has refused a part of it; true without a recording.
    bool end_recording();

    /// One sample of the converter: the world moves on, the firmware makes a step.
    void frame();

    /// At least so long.
    void run(double seconds);

    /// Until a weight is shown that is stable, or until `at_most_s` have passed. False when they have.
    /// `load_stands` is asked after every sample whether what is weighed has come to a stand; without it, it
    /// has.
    bool settle(double at_most_s, const std::function<bool()>& load_stands = {});

    /// As an installer does it: seal off, in a box with a channel per cell the gains to which its corners
    /// were trimmed, the empty deck, then `mass_kg` spread over the supports, both noted and stored; seal on.
    /// False, with the indicator uncalibrated, when it refuses.
    bool calibrate(double mass_kg);

    /// The supply is gone, the world goes on. `seed` decides what a memory operation under way leaves.
    void cut_power(std::uint64_t seed);
    void restore_power();
    bool powered() const { return indicator_ != nullptr; }
    /// How often the firmware has started: whoever holds on to `indicator()` looks again when it has grown.
    std::uint64_t starts() const { return starts_; }
    /// Whether the firmware has made a step since it started.
    bool has_stepped() const { return has_stepped_; }
    /// Numbers for clients past the board's line, from 1.
    int next_client() { return ++clients_; }
    const console::Identity& identity() const { return settings_.identity; }

    /// To be called while power is on.
    Indicator& indicator() { return *indicator_; }
    const Indicator& indicator() const { return *indicator_; }
    world::World& world() { return world_; }
    /// Why the box takes no such fault, in words; empty when it does. A corner factor that hides a fault is
    /// none it can be given.
    std::string refuses(const scale::Fault& fault) const;
    /// What goes wrong between converter and firmware.
    faults::PortFaults& port_faults() { return port_faults_; }
    hal::SimulatedBoard& board() { return *board_; }
    double time_s() const { return world_.time_s(); }
    const scale::Description& description() const { return description_; }

  private:
    void start_firmware();
    void enter_corner_factors();
    void finish_storing();
    bool set_corner_gains();

    scale::Description description_;
    IndicatorSettings settings_;
    world::World world_;
    faults::PortFaults port_faults_;
    std::unique_ptr<hal::SimulatedBoard> board_;
    std::unique_ptr<hal::RecordingBoard> recording_;
    std::unique_ptr<Indicator> indicator_;
    std::uint64_t starts_ = 0;
    bool has_stepped_ = false;
    bool recording_ended_ = false;
    std::array<double, scale::max_cells> refused_gain_{};  ///< that the firmware did not take; 0: none
    int clients_ = 0;
};

/// The parts of a board for this converter.
hal::SimulatedBoardParts board_parts(const IndicatorSettings& settings);

}  // namespace cornerbench::virtual_scale
