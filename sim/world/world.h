#pragma once

#include <cstdint>
#include <map>

#include "hal/converter.h"
#include "sim/faults/fault_list.h"
#include "sim/world/cells_in_time.h"
#include "sim/world/converter_model.h"
#include "sim/world/deck_in_time.h"
#include "sim/world/quick_box.h"
#include "sim/world/surroundings.h"
#include "sim/world/vehicle_ride.h"
#include "sim/world/warmth.h"
#include "sim/world/weather.h"

namespace cornerbench::world {

/// A weight that is lowered on to the deck.
struct Weight {
    double mass_kg = 0.0;
    double x_m = 0.0;  ///< as in scale/numbering.h
    double y_m = 0.0;
    double lowered_in_s = 1.0;  ///< also what taking it off takes; 0: at once
};

/// How it really is at the moment of the last frame. For tests and reports; no part of the firmware sees it.
struct Truth {
    double time_s = 0.0;
    double mass_on_deck_kg = 0.0;  ///< vehicles' axles and weights that stand on the deck in full or in part
    double pressed_kg = 0.0;  ///< the force on the deck beside its own weight, over gravity: bounce, wind
    double wind_N = 0.0;
    double air_C = 0.0;
    double cell_C = 0.0;
    double cable_C = 0.0;
    Supports support_N{};
    Supports cell_N{};
    circuit::BoxOutput output{};  ///< at the converter, before noise
    mechanics::DeckError deck = mechanics::DeckError::none;
};

/// The yard in time: what drives, stands and blows over one specimen of a scale, and what its converter makes
/// of that, sample after sample. One seed is one run, on every machine.
class World {
  public:
    /// `condition` is the specimen, whose copper has one temperature, whatever it is; the world begins with
    /// the day's. It has stood empty for long. Both are copied.
    World(const scale::Description& description, const scale::Condition& condition, std::uint64_t seed,
          const Surroundings& surroundings);

    /// Each returns a number by which it is spoken of later.
    int drive_on(const files::Vehicle& vehicle, const Approach& approach);
    int put(const Weight& weight);

    /// False for a number that is not there (any more).
    bool drive_off(int vehicle, const Departure& departure = {});
    bool take_off(int weight);

    /// A fault comes into the specimen as its course says, and goes.
    int inject(const faults::Scheduled& scheduled);
    bool mend(int fault);

    /// Null once it is over.
    const faults::RunningFault* fault(int number) const { return faults_.find(number); }
    /// Null once it has left.
    const VehicleRide* vehicle(int number) const;
    bool empty() const { return vehicles_.empty() && weights_.empty(); }

    /// Somebody turns the trim of a box position by so many turns, or fits so many ohms more.
    void turn_trim(int position, double by);

    /// Weather, temperature and mains from now on.
    void change(const Surroundings& surroundings);

    /// Lets one sample period pass: the frame at its end.
    const hal::Frame& step();

    /// What is on the deck, on the cells and in the air at this moment.
    Truth truth() const;
    double time_s() const { return time_s_; }
    hal::ConverterTraits traits() const { return converter_.traits(); }
    const scale::Description& description() const { return description_; }
    /// As it is now, temperatures and faults included.
    const scale::Condition& condition() const { return now_; }
    const QuickBox& box() const { return box_; }
    /// Of the cells' bridges, by box position, V/V.
    const circuit::Ratios& ratios() const { return cells_.ratios(); }

  private:
    /// A weight on its way down, standing, or on its way up.
    struct Lowered {
        Weight weight;
        double share = 0.0;  ///< of its weight that rests on the deck
        bool going = false;
    };

    void move_vehicles();
    void lower_weights();
    void gather_loads();
    void warm_up();
    scale::Condition warmed_specimen();
    void renew();

    scale::Description description_;
    scale::Condition specimen_;
    scale::Condition now_;
    Surroundings surroundings_;
    std::uint64_t seed_ = 0;
    double step_s_ = 0.0;
    std::int64_t samples_ = 0;
    std::int64_t samples_per_look_ = 1;  ///< between two looks at the thermometer
    double time_s_ = 0.0;

    Thermometer thermometer_;
    Gusts gusts_;
    Warmth warmth_;
    double cell_C_ = 20.0;  ///< that `now_` stands for
    double cable_C_ = 20.0;
    faults::FaultList faults_;
    faults::FaultList::ContactOwners contact_owners_{};
    DeckInTime deck_;
    CellsInTime cells_;
    QuickBox box_;
    ConverterModel converter_;

    int last_number_ = 0;
    std::map<int, VehicleRide> vehicles_;
    std::map<int, Lowered> weights_;
    bool moving_ = false;  ///< a load changes from sample to sample
    bool stale_ = true;    ///< output does not belong to the state
    Supports wind_share_{};
    Supports node_N_{};
    double mass_on_deck_kg_ = 0.0;
    double wind_N_ = 0.0;
    circuit::BoxOutput output_{};
};

}  // namespace cornerbench::world
