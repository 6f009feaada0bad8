#pragma once

#include <vector>

#include "sim/field/diagnosed_sheet.h"

namespace cornerbench::field {

/// A sheet's readings, without those set aside, beside what one fault after another predicts.
class Comparing {
  public:
    /// All are kept by reference; `memory` as for diagnosis::diagnose.
    Comparing(const scale::Description& description, const diagnosis::Sheet& sheet,
              const diagnosis::Outcome& outcome, std::vector<double>& memory);

    /// By a healthy scale.
    Comparison with_healthy() const;
    Comparison with(int index, const diagnosis::Candidate& candidate) const;

    /// See diagnosis::misfit_of.
    double misfit(const diagnosis::Candidate& candidate) const;

    /// Fills `with.widened`: the readings that it explains no better than by their uncertainty.
    void find_widened(const Comparison& healthy, const diagnosis::Candidate& candidate,
                      Comparison& with) const;

    /// Index of the fault that comes nearest, if one comes clearly nearer than a healthy scale; else -1.
    int nearest_of(const std::vector<diagnosis::Candidate>& candidates) const;

  private:
    const scale::Description& d_;
    const diagnosis::Sheet& sheet_;
    std::span<const diagnosis::WildReading> set_aside_;
    std::vector<double>& memory_;
};

/// Readings without a value and things seen that `found.answer` does not let expect.
std::vector<Unexpected> unexpected_in(const diagnosis::Sheet& sheet, const DiagnosedSheet& found);

/// Indices into the answer's rows of the readings it leaves furthest off, where it does not explain all.
std::vector<int> left_over_in(const DiagnosedSheet& found);

}  // namespace cornerbench::field
