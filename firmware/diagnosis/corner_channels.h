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

struct ChannelFit {
    ChannelState state = ChannelState::dead;
    int support = 0;  ///< whose forces it shows
    Estimate gain;    ///< times these, 1 when sound
    double log_evidence = 0.0;
};

class ChannelSearch {
  public:
    ChannelSearch(const CornerScale& scale, const ChannelReadings& readings, CornerLikelihood& likelihood)
        : scale_(scale), readings_(readings), likelihood_(likelihood) {}

    /// Takes the rows of `channel` into the likelihood; how many there are.
    int take(int channel);

    /// How far the channel just taken is from a sound one's answer: in standard uncertainties of its gain,
    /// and all together.
    [[nodiscard]] bool distance(double& sigmas, Estimate& gain, double& chi_square);

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

/// Judges all channels; what it finds beside exchanged ones, the search over the sum starts from.
class ChannelJudge {
  public:
    ChannelJudge(const CornerScale& scale, const ChannelReadings& readings, const CornerSum& sum,
                 CornerLikelihood& likelihood, CornerSearch& search, double one_sided_sigmas,
                 CornerReport& report)
        : channels_(scale, readings, likelihood),
          n_(readings.supports()),
          sum_(sum),
          likelihood_(likelihood),
          search_(search),
          one_sided_(one_sided_sigmas),
          report_(report) {}

    /// Reports exchanged channels, puts dead and reversed ones into `edits`. The sum's rows are to be taken
    /// anew afterwards. False when a comparison failed.
    [[nodiscard]] bool run(CornerEdits& edits);

  private:
    /// A channel that does not answer as it should.
    struct Channel {
        bool off = false;
        ChannelState state = ChannelState::dead;
        double sigmas = 0.0;
        Estimate gain;
        double log_evidence = 0.0;
    };

    [[nodiscard]] bool measure();
    [[nodiscard]] bool pair();
    [[nodiscard]] bool tell(CornerEdits& edits);
    CornerEdit edit_for(int channel) const;

    ChannelSearch channels_;
    int n_ = 0;
    const CornerSum& sum_;
    CornerLikelihood& likelihood_;
    CornerSearch& search_;
    double one_sided_ = 0.0;
    CornerReport& report_;
    int sum_rows_ = 0;
    std::array<Channel, scale::max_cells> channel_{};
};

}  // namespace cornerbench::diagnosis
