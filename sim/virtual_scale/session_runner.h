#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "sim/virtual_scale/session_run.h"

namespace cornerbench::virtual_scale {

/// One session while it runs. Every step adds to the record what was done and what the indicator said.
class Runner {
  public:
    Runner(const files::ScaleFile& scale, const files::Standard& standard, const files::SessionFile& session,
           const SessionSetting& setting);

    /// Runs every step. Once.
    SessionRecord run();

  private:
    void act(const files::Step& step);
    void pass(double seconds);
    bool settle(double at_most_s);
    /// False while something holds that will not pass by itself and keeps a box from reading its corners.
    bool can_be_read() const;
    bool rest(double at_most_s);
    /// What kept the box from taking it; empty when it did.
    std::string take_reading(const std::string& command);
    void note_trace();
    std::uint32_t over_capacity();
    void event(const std::string& done, const std::string& result, bool refused = false);
    void drive_on(const files::Vehicle& vehicle, const files::Step& step);
    void drive_off(double speed_m_per_s);
    void clear_deck();
    void print(const std::string& what);
    void press(const files::Step& step);
    void corner_round(double mass_kg);
    void cut_power(double seconds);
    void change_temperature(const files::Step& step);
    void inject(const files::Step& step);
    void mend();
    void disturb_converter(const files::Step& step);
    void trucks(const files::Step& step);
    /// As the panel has it: net where there is a tare, in the unit that it shows.
    std::string shown() const;
    std::string weight_words(const weighing::ShownWeight& weight, scale::MassUnit unit) const;
    std::string mass_words(double kg) const;
    bool vehicle_stands();
    double deck_middle_m(const files::Vehicle& vehicle, bool heads_right) const;

    const files::ScaleFile& scale_;
    const files::Standard& standard_;
    const files::SessionFile& session_;
    const SessionSetting& setting_;
    world::Surroundings surroundings_;
    VirtualScale virtual_;
    SessionRecord record_;
    double begin_s_ = 0.0;
    double next_trace_s_ = 0.0;
    int vehicle_ = 0;
    std::string vehicle_name_;
    std::vector<int> weights_;
    std::string on_deck_;
    double stood_s_ = 0.0;
    std::uint64_t cuts_ = 0;
    std::vector<int> faults_;
};

}  // namespace cornerbench::virtual_scale
