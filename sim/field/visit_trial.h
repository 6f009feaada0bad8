#pragma once

#include <array>
#include <functional>
#include <span>
#include <vector>

#include "sim/field/trial.h"
#include "sim/field/visit.h"

/// How long until the diagnosis is sure? The same visits, once by the proposed checks and once by the
/// textbook's order, with the same diagnosis and the same end.
namespace cornerbench::field {

/// The two visits to one scale.
struct VisitCase {
    std::uint64_t seed = 0;
    scale::Cause truth = scale::Cause::healthy;
    VisitOutcome plan;
    VisitOutcome textbook;

    friend bool operator==(const VisitCase&, const VisitCase&) = default;
};

/// Runs one part of a trial of visits, as `run_trial` does.
std::vector<VisitCase> run_visits(const scale::Description& description, const diagnosis::Priors& priors,
                                  const TrialSetting& setting, const TrialShard& shard = {},
                                  const std::function<void(int)>& progress = {});

/// Least value, lower quartile, median, upper quartile and largest value; of an even number of values a
/// quantile lies between its neighbours.
using FiveNumbers = std::array<double, 5>;
/// All 0 of no values.
FiveNumbers five_numbers(std::vector<double> values);

/// What many visits of one order come to.
struct VisitTally {
    int visits = 0;
    int right = 0;
    int sure = 0;        ///< ended sure of one cause or of a group
    int sure_wrong = 0;  ///< of these, with the truth elsewhere
    FiveNumbers minutes{};
    double mean_checks = 0.0;
};

/// The visits to scales with one cause, in both orders.
struct VisitsOfCause {
    int visits = 0;
    VisitTally plan;
    VisitTally textbook;
};

/// The visits of a trial, all together and by cause.
struct VisitTrial {
    VisitTally plan;
    VisitTally textbook;
    std::array<VisitsOfCause, scale::cause_count> causes{};  ///< by scale::index_of

    /// Share of the textbook's median minutes that the plan saves; 0 where the textbook needs none.
    double saved() const;
};

VisitTrial tally_visits(std::span<const VisitCase> cases);

}  // namespace cornerbench::field
