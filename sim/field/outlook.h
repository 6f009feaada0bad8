#pragma once

#include <memory>
#include <span>
#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "firmware/diagnosis/likelihood.h"
#include "sim/field/possible_checks.h"
#include "sim/field/prediction.h"

namespace cornerbench::field {

/// One open reading under one candidate, given all readings taken, as a normal; where `shown` is no value,
/// that stands there instead.
struct Expectation {
    double mean = 0.0;
    double deviation = 1.0;
    diagnosis::Shown shown = diagnosis::Shown::value;
};

/// All open readings under one candidate.
struct Expected {
    std::vector<Expectation> reading;
    /// Per reading, what it shares with the readings taken, and per size of the fault how far that moves it
    /// for one standard deviation: two readings vary together by these.
    std::vector<std::vector<double>> known_to;
    std::vector<std::vector<double>> moved_by;
    std::vector<double> whole;   ///< covariance of the open readings before any is taken, n x n
    std::vector<double> factor;  ///< of the covariance of the readings taken
    bool good = false;

    /// Covariance of two of them.
    double covariance(int a, int b) const;
};

/// The forward model over a sheet and the readings that could still be taken, those with a value.
class Outlook {
  public:
    /// `description`, `sheet` and what it is made of must outlive it; `ignored` are readings left out.
    Outlook(const scale::Description& description, const diagnosis::Sheet& sheet,
            const std::vector<PossibleCheck>& checks, std::span<const int> ignored);

    bool good() const { return good_; }
    int open_count() const { return static_cast<int>(open_.size()); }
    /// Index among the checks of the open reading with that index.
    int check_of(int open) const { return rows_.row[open_[open]].reading - taken_; }

    Expected expect(const diagnosis::Candidate& candidate);

    /// The same of some open readings, in more detail.
    std::vector<Prediction> predict(const diagnosis::Candidate& candidate, const Expected& expected,
                                    std::span<const int> open);

  private:
    double typical_ohm(const diagnosis::Reading& reading) const;
    /// An open reading at the predictor's present fault, given the known ones in `white_`.
    double given_known(const Expected& expected, int open);
    void whiten_known();
    void spread_by_size(const scale::Fault& of,
                        const std::array<diagnosis::Estimate, scale::max_magnitudes>& estimate,
                        Expected& expected);
    diagnosis::Shown shown(int open);

    const scale::Description& description_;
    diagnosis::Scatter scatter_;
    int taken_ = 0;
    bool good_ = false;
    std::vector<diagnosis::Reading> readings_;
    diagnosis::Sheet sheet_;
    diagnosis::LoadHistory history_;
    diagnosis::Rows rows_;
    std::vector<double> memory_;
    std::unique_ptr<diagnosis::Predictor> predictor_;
    std::unique_ptr<diagnosis::Likelihood> likelihood_;
    std::vector<int> known_;
    std::vector<int> open_;
    std::vector<double> factor_;
    std::vector<double> white_;
};

}  // namespace cornerbench::field
