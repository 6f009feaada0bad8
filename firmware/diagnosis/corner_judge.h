#pragma once

#include <optional>
#include <variant>

#include "firmware/diagnosis/corner_channels.h"
#include "firmware/diagnosis/corner_likelihood.h"
#include "firmware/diagnosis/corner_readings.h"
#include "firmware/diagnosis/corner_report.h"
#include "firmware/diagnosis/corner_rubbing.h"
#include "firmware/diagnosis/corner_search.h"
#include "firmware/diagnosis/corner_sum.h"

namespace cornerbench::diagnosis {

/// Judges one round in slices of some comparisons: `step` for as long as it is working. What it is made of
/// has to outlive it and to stay as it is. It refers to its own parts, so it stays where it is made.
class CornerJudge {
  public:
    CornerJudge(const CornerScale& scale, const CornerReadings& readings, const ChannelReadings* channels,
                CornerLikelihood& likelihood, CornerReport& report)
        : scale_(scale),
          readings_(readings),
          channels_(channels),
          likelihood_(likelihood),
          report_(report),
          sum_(scale, readings, channels),
          places_(scale.deck),
          n_(scale.supports()) {}
    CornerJudge(const CornerJudge&) = delete;
    CornerJudge& operator=(const CornerJudge&) = delete;

    /// Looks whether there is anything to judge.
    CornerError begin();

    /// `working` until it is over, with anything else.
    CornerError step();

  private:
    /// The slices of a judgement, in this order; some are passed over.
    enum class Stage : unsigned char { standing, channels, sum, other, rubbing, telling };

    void set_limits();
    [[nodiscard]] bool stand();
    void judge_places();
    void report_edits();
    void measure_friction();
    bool rubs() const { return steepest_ >= 0 || stays_; }
    [[nodiscard]] bool weigh_other();
    [[nodiscard]] bool compare_rubbing();
    void tell_friction();
    void judge_common();
    void tell();

    const CornerScale& scale_;
    const CornerReadings& readings_;
    const ChannelReadings* channels_;
    CornerLikelihood& likelihood_;
    CornerReport& report_;
    CornerSum sum_;
    CornerPlaces places_;
    int n_ = 0;
    Stage stage_ = Stage::standing;
    std::optional<CornerSearch> search_;
    /// Whichever is under way, in one place.
    std::variant<std::monostate, ChannelJudge, RubbingSearch> part_;
    CornerEdits edits_;
    Climbs climbs_;
    int steepest_ = -1;          ///< the climb beyond chance, if any
    CornerEstimate left_kg_;     ///< what the empty deck shows more after the round
    bool stays_ = false;         ///< that is beyond chance
    Rubbing rubbing_;            ///< when it explains the readings best
    double log_evidence_ = 0.0;  ///< of what the search has found, with all climbs by chance
    double one_sided_ = 0.0;
    int rows_ = 0;  ///< of the sum
    int first_edit_ = 0;
    bool seen_by_channels_ = false;
};

}  // namespace cornerbench::diagnosis
