#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "sim/bad_days/day.h"
#include "sim/bad_days/judge.h"
#include "sim/field/random_source.h"
#include "sim/virtual_scale/virtual_scale.h"

namespace cornerbench::bad_days {

/// What happens on one day, act after act.
class DayRun {
  public:
    DayRun(const DayScale& scale, std::uint64_t seed, const DaySetting& setting);

    /// Runs the day to its end. Once.
    DayOutcome spend();

  private:
    /// A mishap that lasts, and when it ends.
    struct Running {
        Mishap mishap;
        double ends_s = 0.0;
        int number = 0;  ///< of a converter's fault or a cause
    };

    void tell(const std::string& what);
    void frame();
    void stand(double seconds);
    bool over() const;
    void hear();
    void say(const std::string& line);
    std::string through_the_line(const std::string& bytes);
    bool excused() const;
    void note_excused();

    // Ordinary traffic, in day_traffic.cpp.
    void act();
    void move_loads();
    void drive_on();
    void put(double share_of_room);
    void spread();
    void take_off();
    void press(hal::Key key);

    // What goes wrong, in day_mishaps.cpp.
    void begin(Mishap mishap);
    void begin_one(const Mishap& mishap, Running& running);
    void end(const Running& running);
    void end_what_is_due();
    void cut_power(double seconds);
    void store_something();
    void tear_memory(const Mishap& mishap);
    void flip_memory_bits(int count);
    void calibrate_anew(int commands);

    const DayScale& scale_;
    const scale::Description& d_;
    DaySetting setting_;
    field::RandomSource random_;
    std::unique_ptr<virtual_scale::VirtualScale> v_;
    std::unique_ptr<Judge> judge_;
    weighing::RangeSettings range_;
    DayOutcome outcome_;

    std::vector<Running> running_;
    std::map<int, double> weights_;  ///< their masses, kg
    int vehicle_ = 0;
    bool had_cause_ = false;
    scale::Cause cause_ = scale::Cause::healthy;
    scale::Fault fault_;  ///< of that cause, in its full size
    bool seal_was_open_ = false;
    std::uint32_t changes_ = 0;
    std::uint64_t starts_ = 0;
    bool power_came_ = false;
    long frames_ = 0;
    std::string heard_;
};

}  // namespace cornerbench::bad_days
