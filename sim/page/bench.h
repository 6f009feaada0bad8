#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "firmware/diagnosis/reading.h"
#include "sim/files/vehicle_file.h"
#include "sim/page/deed.h"
#include "sim/virtual_scale/virtual_scale.h"

namespace cornerbench::page {

/// What a run starts from. `settings` may point into memory that outlives the bench.
struct BenchStart {
    scale::Description description;
    IndicatorSettings settings;
    std::uint64_t seed = 1;
    std::vector<files::Vehicle> vehicles;
    int drill_level =
        0;  ///< what its drill hides, and how its trims were set, as `cornerbench drill`; 0: none
    /// What training::draw_hidden drew before for the same scale, level and seed; nothing: it is drawn.
    std::optional<std::vector<scale::Fault>> hidden{};
};

/// A weight or a vehicle's axle that stands on the deck.
struct OnDeck {
    int number = 0;  ///< of a weight; 0: an axle
    double x_m = 0.0;
    double y_m = 0.0;
    double kg = 0.0;
};

/// Longest run: ten days at 100 Hz. A link that asks for more is refused.
inline constexpr std::int64_t longest_run_frames = 86'400'000;
inline constexpr std::size_t most_weights = 24;
inline constexpr std::size_t most_readings = 200;

/// The bench of the page: a calibrated scale with its firmware, and what a person does to it.
class Bench {
  public:
    /// Draws the specimen with the seed's number and calibrates it; the run begins afterwards, at frame 0.
    explicit Bench(const BenchStart& start);

    /// True when the indicator took its calibration.
    bool calibrated() const { return calibrated_; }

    /// Does it before the next frame; its own frame is not looked at. False when it makes no sense here: a
    /// number that is not there, a place off the deck, a fault that this scale cannot have.
    bool act(const Deed& deed);

    void frame();
    std::int64_t frames() const { return frames_; }
    double time_s() const { return scale_.time_s() - opened_s_; }

    virtual_scale::VirtualScale& scale() { return scale_; }
    const scale::Description& description() const { return start_.description; }
    std::uint64_t seed() const { return start_.seed; }
    int drill_level() const { return start_.drill_level; }

    std::vector<OnDeck> on_deck() const;
    bool vehicle_there() const { return vehicle_ != 0; }
    /// What the deck carries, as a sheet of readings would say it.
    diagnosis::Load load() const;

    /// Readings that were taken, in order.
    std::span<const diagnosis::Reading> readings() const { return readings_; }

    /// The meter read between two terminals of a drill: as a reading that takes as long, after so many
    /// others.
    struct Probed {
        std::size_t after = 0;
        diagnosis::Reading as_long_as;
    };
    std::span<const Probed> probed() const { return probed_; }
    /// The same before it is done; nothing when there are no such terminals.
    std::optional<diagnosis::Reading> as_long_as(double terminal_a, double terminal_b) const;

    /// Faults that were put in and are there still; `number` counts from 1.
    struct Present {
        int number = 0;
        scale::Fault fault;
        bool hidden = false;
    };
    const std::vector<Present>& faults() const { return faults_; }

    /// True once somebody gave up, or had it confirmed.
    bool revealed() const { return revealed_; }

    /// How near somebody is who names this cause and place; right of a healthy scale: nothing is broken.
    enum class Named : unsigned char { wrong, cause_elsewhere, right };
    Named named(int cause, int site) const;

    /// Volts at every terminal against the bus's E-: see `terminals.h`.
    std::vector<double> terminal_volts() const;

    /// Largest less smallest weight over the supports, in divisions, by the usual corner weight, with the
    /// scale as it is now.
    double corner_spread_divisions() const;

    /// FNV-1a over the firmware's state hashes and the world's forces, frame by frame.
    std::uint64_t state_hash() const { return hash_; }

  private:
    /// A weight that somebody put on the deck, by its number on the page and in the world.
    struct Weight {
        int number = 0;
        int in_world = 0;
        double x_m = 0.0;
        double y_m = 0.0;
        double kg = 0.0;
    };

    bool on(double x_m, double y_m) const;
    Weight* weight(double number);
    bool put(double x_m, double y_m, double kg);
    bool move(Weight& weight, double x_m, double y_m);
    bool drive(double vehicle, double front_m);
    bool inject(const std::array<double, max_deed_numbers>& number);
    bool put_in(const scale::Fault& fault, bool hidden);
    bool hide(double seed);
    bool mend(double number);
    bool turn_trim(double position, double by);
    bool read(const std::array<double, max_deed_numbers>& number);
    diagnosis::Reading shown_weight() const;
    void mix(std::uint64_t value);

    BenchStart start_;
    virtual_scale::VirtualScale scale_;
    bool calibrated_ = false;
    double opened_s_ = 0.0;
    std::int64_t frames_ = 0;
    std::vector<Weight> weights_;
    int last_weight_ = 0;
    int vehicle_ = 0;
    std::size_t vehicle_kind_ = 0;
    double vehicle_front_m_ = 0.0;
    bool leaving_ = false;
    std::vector<Present> faults_;
    std::vector<int> fault_in_world_;
    int last_fault_ = 0;
    std::uint64_t cuts_ = 0;
    std::vector<diagnosis::Reading> readings_;
    std::vector<Probed> probed_;
    bool revealed_ = false;
    double heaviest_kg_ = 0.0;  ///< that stood since the deck was last empty
    std::uint64_t hash_ = 14695981039346656037ull;
};

}  // namespace cornerbench::page
