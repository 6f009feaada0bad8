#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/console/register_map.h"
#include "sim/bad_days/other_load.h"
#include "sim/bad_days/sliding_range.h"
#include "sim/bad_days/true_zero.h"
#include "sim/files/scale_file.h"
#include "sim/files/standard_file.h"
#include "sim/virtual_scale/virtual_scale.h"

namespace cornerbench::bad_days {

/// The question of a bad day: was a weight shown, sent or readable, as valid and stable and without a flag,
/// that lies farther than the limit of error in service (R 76-1:2006, 3.5.2: twice table 6) from every load
/// that stood on the deck within the reaction time before?
///
/// While something is at work that no firmware can notice, loads are what the signal at the converter says by
/// the calibration in force: nothing else is excused by it.
class Judge {
  public:
    /// `scale` is calibrated, empty and at zero.
    Judge(virtual_scale::VirtualScale& scale, const files::ScaleFile& file, const files::Standard& standard);

    /// To be called after every frame. `excused`: something that no firmware can notice is at work.
    void frame(bool excused);

    /// Power is back.
    void power_on();

    /// Takes note of a zero that was set. To be called when somebody may have set one between two frames.
    void follow_zero();

    /// Somebody with the seal open has changed the calibration: from now on it is taken for right.
    void calibration_changed();

    /// One line that the firmware has sent. What is no answer to FETCh? is not judged.
    void sent(std::string_view line);

    /// Reads the registers and judges them.
    void read_registers();

    /// The first weight that was wrong, and where it stood; empty as long as none was.
    const std::string& wrong() const { return wrong_; }

    long judged() const { return judged_; }  ///< weights
    /// Longest time for which the panel showed a weight farther than the limit from the load of the moment.
    double longest_s() const { return longest_s_; }

    /// The panel has shown a weight as right that was excused, and the largest error of these.
    bool excused_wrong() const { return excused_error_d_ != 0.0; }
    double excused_error_d() const { return excused_error_d_; }  ///< in divisions
    double excused_load_d() const { return excused_load_d_; }    ///< under that load, in divisions
    /// By how much a sound scale may be wrong under that load, and the signal beside what is shown, in
    /// divisions.
    double excused_sound_d() const { return excused_sound_d_; }
    /// Of those: the most by which what the channels said misses what any load explains, in divisions. Always
    /// 0 behind one channel, which any load explains.
    double unexplained_d() const { return unexplained_d_; }

    /// Somebody has entered a calibration, which hides what else was wrong.
    bool believes() const { return believed_; }

  private:
    /// Two bounds between which something was, kg.
    struct Span {
        double low_kg = 0.0;
        double high_kg = 0.0;
    };

    double limit_kg(double load_kg) const;
    double signal_kg(const world::Truth& truth);
    Span loads() const;  ///< gross, within the reaction time
    Span signals() const;
    bool outside(const Span& span, double gross_kg, double slack_kg) const;
    void judge(double value_kg, bool net, double half_division_kg, std::string_view where);
    void excuse(double gross_kg, const Span& truly);
    void judge_panel();
    void blame(const std::string& what);

    virtual_scale::VirtualScale& scale_;
    const files::ScaleFile& file_;
    const files::Standard& standard_;
    const scale::Description& d_;
    weighing::Calibration calibration_;
    std::array<double, scale::max_cells> gain_{};
    std::uint32_t changes_ = 0;
    SlidingRange mass_;
    SlidingRange pressed_;
    SlidingRange signal_;
    Span now_kg_;  ///< on the deck and pressed on it
    ZeroBook zeros_;
    bool excused_ = false;
    double excused_until_s_ = -1.0;
    bool sound_ = true;
    bool believed_ = false;  ///< a calibration that somebody entered
    hal::PanelPicture picture_;
    double panel_value_kg_ = 0.0;
    double panel_half_kg_ = 0.0;
    bool panel_counts_ = false;
    double wrong_since_s_ = -1.0;
    double longest_s_ = 0.0;
    double excused_error_d_ = 0.0;
    double excused_load_d_ = 0.0;
    double excused_sound_d_ = 0.0;
    double unexplained_d_ = 0.0;
    std::optional<OtherLoad> other_;
    std::array<double, scale::max_cells> channel_kg_{};  ///< by the calibration in force
    std::array<double, scale::max_cells> empty_kg_{};    ///< the same when the day began
    long judged_ = 0;
    std::string wrong_;
};

}  // namespace cornerbench::bad_days
