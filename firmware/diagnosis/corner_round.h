#pragma once

#include <span>

#include "firmware/diagnosis/corner_check.h"

/// A round of corner tests as it is being made, for a box that judges it by itself.
namespace cornerbench::diagnosis {

/// Readings are added as the weight moves from support to support; with each of them the check begins anew,
/// and goes on a slice with every step. Big: place it statically.
class CornerRound {
  public:
    /// `channels`: 1 for a box with one converter on the sum, else one per support.
    CornerRound(const CornerScale& scale, int channels);

    /// The deck empty: `gross_kg` is shown, and `channel_kg` by each channel (empty with one channel).
    [[nodiscard]] CornerError add_empty(double gross_kg, std::span<const double> channel_kg);

    /// `mass_kg` over `support`, counted from 0.
    [[nodiscard]] CornerError add_loaded(int support, double mass_kg, double gross_kg,
                                         std::span<const double> channel_kg);

    /// Starts a new round.
    void forget();

    /// One slice of the check, if it is not done.
    void step() { (void)check_.step(); }

    /// What came of the readings so far; the error `working` until that is known.
    const CornerReport& report() const { return check_.report(); }

    int supports() const { return scale_.supports(); }

  private:
    void judge_anew() { check_.begin(scale_, readings_, with_channels_ ? &channels_ : nullptr); }

    CornerScale scale_;
    bool with_channels_ = false;
    CornerReadings readings_{0};
    ChannelReadings channels_{0};
    CornerCheck check_;
};

}  // namespace cornerbench::diagnosis
