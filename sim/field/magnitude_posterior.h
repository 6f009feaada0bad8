#pragma once

#include <array>
#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "firmware/diagnosis/sheet_bench.h"

namespace cornerbench::field {

/// What a sheet says about the magnitudes of a fault whose cause, place and variant are known: the same
/// density that the diagnosis integrates, gone over so closely that nothing is left of its short cuts.
class MagnitudePosterior {
  public:
    /// The sheet's readings must outlive it.
    MagnitudePosterior(const scale::Description& description, const diagnosis::Sheet& sheet);
    MagnitudePosterior(const MagnitudePosterior&) = delete;
    MagnitudePosterior& operator=(const MagnitudePosterior&) = delete;

    /// False where the sheet cannot be judged at all.
    bool good() const { return good_; }

    /// Share of the posterior of each magnitude below the one that `fault` has.
    std::array<double, scale::max_magnitudes> shares_below(const scale::Fault& fault);

    /// Value of the only magnitude of the fault below which this share of its posterior lies; `fault` has one
    /// near the likeliest.
    double quantile(const scale::Fault& fault, double share);

  private:
    double log_density(const scale::Fault& fault);

    const scale::Description& description_;
    diagnosis::Sheet sheet_;
    diagnosis::Scatter scatter_;
    std::vector<double> memory_;
    diagnosis::SheetBench* bench_ = nullptr;
    bool good_ = false;
};

}  // namespace cornerbench::field
