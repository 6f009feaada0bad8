#pragma once

#include <array>

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
        if (exact_ || !factored_) {
            if (!(factored_ = in_.factor_at(fault_))) return false;
        } else if (!in_.predictor_.set(fault_)) {
            return false;
        }
        in_.likelihood_.whiten(white);
        apart = in_.likelihood_.log_density_apart() + in_.log_seen(fault_) + correction(u);
        return true;
    }

    /// The fault with its first magnitude at the share `u` of its prior.
    scale::Fault fault_at(double u) const {
        scale::Fault fault = fault_;
        fault.magnitude[0] = magnitude_at(magnitude_, u);
        return fault;
    }

    /// From now on `off` is added to the log density at `u`, and between such places in proportion.
    void correct_at(double u, double off) {
        int i = 0;
        while (i < nodes_ && node_[i].u < u) ++i;
        if (i < nodes_ && node_[i].u == u) return;
        for (int k = nodes_++; k > i; --k) node_[k] = node_[k - 1];
        node_[i] = {u, off};
    }

    /// What is added to the log density at `u`, by the places of `correct_at`.
    double correction(double u) const {
        if (nodes_ == 0) return 0.0;
        int i = 0;
        while (i < nodes_ && node_[i].u < u) ++i;
        if (i == 0) return beyond(0, u);
        if (i == nodes_) return beyond(nodes_ - 1, u);
        // Hermite's cubic between both neighbours.
        const Node& a = node_[i - 1];
        const Node& b = node_[i];
        const double width = b.u - a.u;
        const double t = (u - a.u) / width;
        const double s = 1.0 - t;
        return s * s * (1.0 + 2.0 * t) * a.off + t * t * (1.0 + 2.0 * s) * b.off +
               s * t * width * (s * slope(i - 1) - t * slope(i));
    }

    /// A converter that loses its reference shows something else at once.
    int branch() const override { return in_.without_reference_; }

    /// Linearises where the fault is not there, for all that follows.
    void lean() { factored_ = in_.lean(); }

    /// Linearises at `magnitude` for all that follows.
    void linearise(double magnitude) {
        fault_.magnitude[0] = magnitude;
        factored_ = in_.factor_at(fault_);
    }

  private:
    double rise(int i) const { return (node_[i + 1].off - node_[i].off) / (node_[i + 1].u - node_[i].u); }

    /// At a node: of the parabola through it and its neighbours, at an end of the line to the next.
    double slope(int i) const {
        if (nodes_ < 2) return 0.0;
        if (i == 0) return rise(0);
        if (i + 1 == nodes_) return rise(i - 1);
        const double before = node_[i].u - node_[i - 1].u;
        const double after = node_[i + 1].u - node_[i].u;
        return (after * rise(i - 1) + before * rise(i)) / (before + after);
    }

    /// Straight on from an end, but not far.
    double beyond(int i, double u) const {
        const double by = slope(i) * (u - node_[i].u);
        return node_[i].off + (by > not_far ? not_far : by < -not_far ? -not_far : by);
    }

    EvidenceIntegral& in_;
    scale::Fault fault_;
    scale::Magnitude magnitude_;
    bool exact_ = false;
    bool factored_ = false;
    /// A place on the curve, u, at which it was looked at exactly, and how far off it was there.
    struct Node {
        double u = 0.0;
        double off = 0.0;
    };
    static constexpr double not_far = 2.0;
    static constexpr int most_nodes = 10;  ///< three in each of three rounds, and where it was linearised
    std::array<Node, most_nodes> node_{};
    int nodes_ = 0;
};

}  // namespace cornerbench::diagnosis
