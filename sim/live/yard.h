#pragma once

#include <cstdint>
#include <deque>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "sim/files/scale_file.h"
#include "sim/files/standard_file.h"
#include "sim/report/number_words.h"
#include "sim/virtual_scale/virtual_scale.h"

namespace cornerbench::live {

/// Something that was done or came about, at so many seconds since the yard was opened.
struct Happening {
    double t_s = 0.0;
    std::string text;
};

/// A calibrated scale with its firmware, and what a person can do to it: loads, keys, faults, power, seal.
/// What comes of each deed is a `Happening`.
class Yard {
  public:
    /// Draws the specimen with number `seed`, calibrates it, and lets the faults come.
    ///
    /// With `recording`, which has to outlive the yard, all that reaches the firmware goes there from its
    /// first step on, behind `notes`.
    Yard(const files::ScaleFile& scale, const files::Standard& standard, std::uint64_t seed,
         const std::vector<scale::Fault>& faults, hal::TextSink* recording = nullptr,
         const std::map<std::string, std::string>& notes = {});

    /// Drives on from now on in place of the usual truck.
    void use_vehicle(const files::Vehicle& vehicle) { vehicle_file_ = vehicle; }

    /// One sample period.
    void frame();

    /// Puts the test weight over `support`, counted from 0, or takes it off again.
    void move_weight(int support);
    /// The vehicle comes on from the left and stops in the middle; if it stands there, it leaves.
    void move_vehicle();
    /// A cause in the words of `--with`, or a converter's fault in those of a session file.
    void inject(std::string_view words);
    /// Takes every fault out again, the scale's and the converter's.
    void mend();
    /// The keys of the indicator's panel. What comes of one is known with the next frame.
    void zero();
    void tare();
    void clear_tare();
    void next_unit();
    void print();
    void switch_power();
    void switch_seal();
    /// For who works the yard step by step, such as a corner round.
    void take_all_weights();
    void note(const std::string& text);

    bool weight_over(int support) const { return weights_[static_cast<std::size_t>(support)] != 0; }
    bool vehicle_there() const;
    int supports() const { return 2 * scale_.description.deck.sections; }
    double test_kg() const { return test_kg_; }
    /// What is on the deck, or "empty".
    std::string load_words() const;
    const std::vector<std::string>& faults() const { return fault_words_; }

    /// Seconds since the yard was opened.
    double time_s() const { return virtual_.time_s() - opened_s_; }
    virtual_scale::VirtualScale& scale() { return virtual_; }
    const files::ScaleFile& file() const { return scale_; }
    const report::MassWords& words() const { return words_; }
    bool powered() const { return virtual_.powered(); }
    bool seal_open() const { return seal_open_; }

    /// What stands on the indicator's own panel, in words.
    std::string shown() const;

    /// What has happened since the last call.
    std::vector<Happening> take_happenings();

  private:
    void press(hal::Key key);
    void press_next();
    void hear(hal::Key key);
    void look_at_cells();
    void inject(const scale::Fault& fault, const std::string& words);
    void came(const std::string& fault_words);

    files::ScaleFile scale_;
    report::MassWords words_;
    double test_kg_ = 0.0;
    std::uint64_t seed_ = 0;
    virtual_scale::VirtualScale virtual_;
    double opened_s_ = 0.0;
    std::vector<Happening> happenings_;
    files::Vehicle vehicle_file_;
    std::vector<int> weights_;  ///< by support, the world's number of the weight over it or 0
    int vehicle_ = 0;
    bool leaving_ = false;
    std::vector<int> faults_;
    std::vector<int> converter_faults_;
    std::vector<std::string> fault_words_;
    bool seal_open_ = false;
    std::uint64_t cuts_ = 0;
    std::uint32_t overloaded_ = 0;  ///< one bit per cell
    std::deque<hal::Key> keys_;     ///< to be pressed, one a frame
};

}  // namespace cornerbench::live
