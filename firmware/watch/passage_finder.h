#pragma once

#include "firmware/watch/level_mean.h"
#include "firmware/watch/passage.h"

/// Cuts the outputs of a scale into trucks, and a truck into the steps of its axles.
namespace cornerbench::watch {

/// What a finder has to know of the scale, and the bounds by which it tells a truck from an empty deck.
struct FinderSettings {
    double max_kg = 0.0;
    int channels = 1;
    /// At rest and nearer to zero than this, the deck is empty; share of Max.
    double empty_share = 0.01;
    /// Where a truck has driven off, a rest below this share of Max is the empty deck, its zero not returned.
    double left_share = 0.05;
    /// A change within two outputs beyond the larger of these is an axle's step: of Max, and of what is on.
    /// A body that bounces changes the load by some 3 % each way (measured in the simulated yard).
    double step_of_max = 0.02;
    double step_of_load = 0.05;
};

/// Feed it every output in order. State is plain; nothing is waited for.
class PassageFinder {
  public:
    PassageFinder() = default;
    explicit PassageFinder(const FinderSettings& settings) : settings_(settings) {}

    /// True when a truck has left, the deck is at rest again, and `passage()` is whole.
    bool take(const WatchedOutput& output);

    /// An output is missing or not valid: the truck on the deck, if any, is given up.
    void interrupt();

    /// Counts from the first truck again.
    void restart() {
        interrupt();
        empty_known_ = false;
        trucks_ = given_up_ = 0;
    }

    const Passage& passage() const { return passage_; }
    /// Trucks that came, and of those the ones that were given up: they did not stand, turned back or were
    /// followed too closely.
    std::uint32_t trucks() const { return trucks_; }
    std::uint32_t given_up() const { return given_up_; }
    bool occupied() const { return phase_ != Phase::unknown && phase_ != Phase::empty; }

  private:
    /// How far a truck's passage has come. `unknown` until the deck first rests empty; `broken`: given up,
    /// until it does so again.
    enum class Phase : std::uint8_t { unknown, empty, coming, standing, leaving, left, broken };
    static constexpr int delay = 2;      ///< outputs that a step is noticed late
    static constexpr int edge_size = 8;  ///< outputs at either end of a level that are a level of their own

    void give_up();
    void begin();
    void close_level();
    void add_to_level(const ChannelLevels& kg);
    void note_rest(const ChannelLevels& kg, std::int64_t taken_us);
    void step(bool up);
    bool finish();
    double total(const ChannelLevels& kg) const;
    /// As near to the empty deck's last rest as an empty deck is.
    bool is_light(double kg) const;
    void rests_empty_at(double kg);
    /// True when it rests where it rested before a load came and went: a deck whose zero has jumped up is
    /// empty there, though it does not look it.
    bool came_back(double kg);
    /// True when a rest was the empty deck's and there is nothing more to do; `whole` when a passage ended.
    bool rest_empty(double kg, double gross_kg, bool& whole);

    FinderSettings settings_;
    Phase phase_ = Phase::unknown;
    Passage passage_;
    std::uint32_t trucks_ = 0;
    std::uint32_t given_up_ = 0;

    std::array<ChannelLevels, delay + 1> last_{};
    bool empty_known_ = false;
    double empty_kg_ = 0.0;  ///< all channels of the empty deck at its last rest, before zero
    bool lowest_known_ = false;
    double lowest_kg_ = 0.0;  ///< lowest rest since it was last empty
    bool loaded_since_ = false;
    int seen_ = 0;   ///< outputs since the last interruption, up to `delay` + 1
    int quiet_ = 0;  ///< outputs without a step
    bool stepping_ = false;

    LevelMean empty_;
    LevelMean level_;
    LevelMean start_;                                ///< of the level
    std::array<ChannelLevels, edge_size> newest_{};  ///< of the level, a ring
    LevelMean stood_;
    LevelMean after_;
    ChannelLevels closed_{};  ///< the level before the present one
    bool closed_known_ = false;
    ChannelLevels first_{};
    bool first_known_ = false;
    bool levels_known_ = true;  ///< every level so far was long enough to be read
    int steps_up_ = 0;
    int steps_down_ = 0;
};

}  // namespace cornerbench::watch
