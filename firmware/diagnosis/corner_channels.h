#pragma once

#include "firmware/diagnosis/corner_readings.h"
#include "firmware/diagnosis/corner_report.h"
#include "firmware/diagnosis/corner_search.h"
#include "firmware/diagnosis/corner_sum.h"

/// What each channel of a per-cell box is connected to, by the forces that it shows under a mass over each
/// support.
namespace cornerbench::diagnosis {

/// How a channel answers.
enum class ChannelState : unsigned char {
    reversed,  ///< with its own support's forces, negative
    dead,      ///< not at all
    low,       ///< with a part of its own support's forces
    elsewhere  ///< with another support's forces, of either sign
};

/// What a channel may be, with the gain that fits best and the evidence for it.
struct ChannelFit {
    ChannelState state = ChannelState::dead;
    int support = 0;      ///< whose forces it shows
    CornerEstimate gain;  ///< times these, 1 when sound
    double log_evidence = 0.0;
};

/// Tries on one channel after another what it may be. What it is made of has to outlive it.
class ChannelSearch {
  public:
    ChannelSearch(const CornerScale& scale, const ChannelReadings& readings, CornerLikelihood& likelihood)
        : scale_(scale), readings_(readings), likelihood_(likelihood) {}

    /// Takes the rows of `channel` into the likelihood; how many there are.
    int take(int channel);

    /// How far the channel just taken is from a sound one's answer: in standard uncertainties of its gain,
    /// and all together.
    [[nodiscard]] bool distance(double& sigmas, CornerEstimate& gain, double& chi_square);

    /// What the channel just taken is if it answers to its own support, or to none.
    [[nodiscard]] bool fit_own(ChannelFit& fit);

    /// The same if it answers to `support`.
    [[nodiscard]] bool fit_elsewhere(int support, ChannelFit& fit);

  private:
    [[nodiscard]] bool weigh(int support, double gain, ChannelFit& fit);

    const CornerScale& scale_;
    const ChannelReadings& readings_;
    CornerLikelihood& likelihood_;
    int channel_ = 0;
};

/// Judges all channels in slices of some comparisons: `step` for as long as it is working. Reports exchanged
/// ones, puts dead and reversed ones into `edits`, from which the search over the sum then starts. The sum's
/// rows are in `likelihood` before, and are to be taken anew afterwards. What it is made of has to outlive
/// it.
class ChannelJudge {
  public:
    ChannelJudge(const CornerScale& scale, const ChannelReadings& readings, const CornerSum& sum,
                 CornerLikelihood& likelihood, CornerSearch& search, double one_sided_sigmas,
                 CornerReport& report, CornerEdits& edits)
        : channels_(scale, readings, likelihood),
          n_(readings.supports()),
          sum_(sum),
          likelihood_(likelihood),
          search_(search),
          one_sided_(one_sided_sigmas),
          report_(report),
          edits_(edits),
          sum_rows_(likelihood.rows()) {}

    /// Goes on by one slice.
    [[nodiscard]] SearchState step();

  private:
    /// A channel that does not answer as it should.
    struct Channel {
        bool off = false;
        ChannelState state = ChannelState::dead;
        double sigmas = 0.0;
        CornerEstimate gain;
        double log_evidence = 0.0;
    };

    /// Every channel by itself, then exchanged pairs, then the report.
    enum class Stage : unsigned char { measuring, pairing, telling };

    [[nodiscard]] bool measure(int c);
    [[nodiscard]] bool try_pair(int a, int b);
    /// True when there was a pair to try, which is the next one then.
    bool next_pair();
    void end_pairs();
    [[nodiscard]] bool tell(int c);
    CornerEdit edit_for(int channel) const;

    ChannelSearch channels_;
    int n_ = 0;
    const CornerSum& sum_;
    CornerLikelihood& likelihood_;
    CornerSearch& search_;
    double one_sided_ = 0.0;
    CornerReport& report_;
    CornerEdits& edits_;
    int sum_rows_ = 0;
    std::array<Channel, scale::max_cells> channel_{};

    Stage stage_ = Stage::measuring;
    int next_ = 0;  ///< channel to measure or to tell
    int pass_ = 0;  ///< over all pairs
    int first_ = 0;
    int second_ = 0;  ///< of the pair tried last
    double best_odds_ = 0.0;
    int best_first_ = -1;
    ChannelFit best_fit_;
};

}  // namespace cornerbench::diagnosis
