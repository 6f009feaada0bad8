#pragma once

#include <memory>
#include <span>
#include <vector>

#include "sim/field/next_check.h"
#include "sim/field/open_classes.h"
#include "sim/field/outlook.h"
#include "sim/field/possible_checks.h"

namespace cornerbench::field {

/// What is known when checks have been taken, as far as a plan cares: who is how likely then, and the numbers
/// read.
struct Foreseen {
    double chance = 1.0;
    std::vector<double> share;  ///< of each candidate asked about
    std::vector<std::size_t> check;
    std::vector<double> read;
};

/// Every check that is possible, and what it tells about some candidates.
class CheckValues {
  public:
    CheckValues(const scale::Description& description, const diagnosis::Sheet& sheet,
                std::span<const diagnosis::Candidate> about, std::span<const int> ignored,
                const CheckMinutes& minutes, const Workplace& from);

    /// False when there is nothing to tell apart, or no model of it.
    bool good() const { return good_; }
    const std::vector<PossibleCheck>& checks() const { return possible_; }
    std::span<const diagnosis::Candidate> asked() const { return asked_; }
    double doubt_bits() const { return doubt_bits_; }

    /// As the sheet stands.
    Foreseen now() const;
    /// Bits that a check tells then.
    double bits(std::size_t check, const Foreseen& then) const;
    /// The outcomes that `check` may have, as few that stand for all; `points` of a number.
    std::vector<Foreseen> branches(std::size_t check, const Foreseen& then, int points) const;

    /// What each outcome of these checks would mean, each taken alone.
    std::vector<std::vector<CheckOutcome>> outcomes(std::span<const std::size_t> checks,
                                                    std::span<const diagnosis::Candidate> all);

  private:
    /// By finding, then by candidate.
    std::vector<std::vector<double>> found(const std::vector<diagnosis::Reading>& findings) const;
    std::vector<Expectation> expected(std::size_t check, const Foreseen& then) const;
    bool is_look(std::size_t check) const { return open_of_[check] < 0; }

    const scale::Description& description_;
    std::vector<diagnosis::Candidate> asked_;
    OpenClasses classes_;
    double doubt_bits_ = 0.0;
    bool good_ = false;
    std::vector<PossibleCheck> possible_;
    std::unique_ptr<Outlook> outlook_;
    std::vector<int> open_of_;  ///< by check; -1 of a look
    std::vector<Expected> by_candidate_;
};

}  // namespace cornerbench::field
