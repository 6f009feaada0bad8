#pragma once

#include <span>

#include "firmware/diagnosis/evidence.h"

/// Two faults fitted together: where the first magnitudes of both explain the readings best at once.
namespace cornerbench::diagnosis {

class PairFit {
  public:
    /// Takes three times `rows` doubles. The others outlive this.
    PairFit(numbers::Arena& arena, const scale::Description& description, EvidenceIntegral& evidence,
            Predictor& predictor, Likelihood& likelihood);

    /// Moves both to the nearest best fit, by damped least squares; returns its log density. Leaves `b` held.
    double climb(scale::Fault& a, scale::Fault& b);

    /// By how much two magnitudes that make up for each other hold more evidence than each by itself says:
    /// with r their correlation at this fit, -1/2 log(1 - r^2), as a two-dimensional normal peak has it.
    double coupling(const scale::Fault& a, const scale::Fault& b);

  private:
    /// Both first magnitudes as shares of their priors; one that is not there stays.
    struct Place {
        double u[2] = {0.5, 0.5};
    };
    struct Slopes {
        double square[2] = {0.0, 0.0};
        double product = 0.0;
        double down[2] = {0.0, 0.0};  ///< products with the residuals
    };
    void start(const scale::Fault& a, const scale::Fault& b);
    scale::Fault at(int which, double u) const;
    double log_density(const Place& p);
    /// About `p`, where it looked last. False when a neighbour cannot be predicted.
    bool linearise(const Place& p, Slopes& slopes);

    const scale::Description& description_;
    EvidenceIntegral& evidence_;
    Predictor& predictor_;
    Likelihood& likelihood_;
    std::span<double> white_;
    std::span<double> along_[2];
    scale::Fault fault_[2];
    scale::Magnitudes magnitudes_[2];
};

}  // namespace cornerbench::diagnosis
