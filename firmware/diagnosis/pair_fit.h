#pragma once

#include <span>

#include "firmware/diagnosis/evidence.h"

namespace cornerbench::diagnosis {

/// Two faults fitted together: where the magnitudes of both explain the readings best at once.
class PairFit {
  public:
    /// Takes `doubles(rows)` of the arena. The others outlive this.
    PairFit(numbers::Arena& arena, const scale::Description& description, EvidenceIntegral& evidence,
            Predictor& predictor, Likelihood& likelihood);
    static constexpr int doubles(int rows) { return (1 + most) * rows; }

    /// Moves both to the nearest best fit, by damped least squares; returns its log density. Leaves `b` held.
    double climb(scale::Fault& a, scale::Fault& b);

    /// By how much magnitudes that make up for each other hold more evidence than those of each fault by
    /// themselves say, as a normal peak has it: half the logarithm of the determinants of both, over that of
    /// all.
    double coupling(const scale::Fault& a, const scale::Fault& b);

  private:
    static constexpr int most = 2 * scale::max_magnitudes;

    /// One magnitude of one of both.
    struct Unknown {
        int fault = 0;
        int magnitude = 0;
    };
    /// All of them as shares of their priors.
    using Place = std::array<double, most>;

    void start(const scale::Fault& a, const scale::Fault& b);
    scale::Fault at(int which, const Place& p) const;
    double log_density(const Place& p);
    /// About `p`, where it looked last: `square_` and `down_`. False when a neighbour cannot be predicted.
    bool linearise(const Place& p);
    /// Half the logarithm of the determinant of the unknowns from `first` to before `last`.
    double log_sharpness(int first, int last) const;

    const scale::Description& description_;
    EvidenceIntegral& evidence_;
    Predictor& predictor_;
    Likelihood& likelihood_;
    std::span<double> white_;
    std::array<std::span<double>, most> along_;
    std::array<scale::Fault, 2> fault_;
    std::array<scale::Magnitudes, 2> magnitudes_;
    std::array<Unknown, most> unknown_;
    int count_ = 0;
    std::array<double, most * most> square_{};  ///< products of the slopes with each other
    std::array<double, most> down_{};           ///< and with the residuals
};

}  // namespace cornerbench::diagnosis
