#pragma once

#include "firmware/diagnosis/evidence.h"

namespace cornerbench::diagnosis {

/// The readings' curve as the first magnitude of a fault runs over its range.
class EvidenceIntegral::MagnitudeCurve final : public Curve {
  public:
    /// Linearises at every point when `exact`, else where `linearise` says.
    MagnitudeCurve(EvidenceIntegral& in, const scale::Fault& fault, const scale::Magnitude& magnitude,
                   bool exact)
        : in_(in), fault_(fault), magnitude_(magnitude), exact_(exact) {}

    bool at(double u, std::span<double> white, double& apart) override {
        fault_.magnitude[0] = magnitude_at(magnitude_, u);
        if (!in_.predictor_.set(fault_)) return false;
        if ((exact_ || !factored_) && !(factored_ = in_.likelihood_.factor())) return false;
        in_.likelihood_.whiten(white);
        apart = in_.likelihood_.log_density_apart() + in_.log_seen(fault_);
        return true;
    }

    /// A converter that loses its reference shows something else at once.
    int branch() const override { return in_.without_reference_; }

    /// Linearises at `magnitude` for all that follows.
    void linearise(double magnitude) {
        fault_.magnitude[0] = magnitude;
        factored_ = in_.predictor_.set(fault_) && in_.likelihood_.factor();
    }

  private:
    EvidenceIntegral& in_;
    scale::Fault fault_;
    scale::Magnitude magnitude_;
    bool exact_ = false;
    bool factored_ = false;
};

}  // namespace cornerbench::diagnosis
