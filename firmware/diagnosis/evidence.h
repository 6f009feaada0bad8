#pragma once

#include <array>
#include <span>

#include "firmware/diagnosis/chord_integral.h"
#include "firmware/diagnosis/likelihood.h"
#include "firmware/diagnosis/predictor.h"
#include "firmware/scale/causes.h"

/// The evidence of a sheet for one cause at one place: the density of its readings, integrated over
/// magnitudes.
namespace cornerbench::diagnosis {

/// Estimate of one magnitude, SI: the posterior's middle and the bounds of its inner 90 %.
struct Estimate {
    double value = 0.0;
    double low = 0.0;
    double high = 0.0;
};

/// The evidence for one fault, with its best fit. Densities and evidence are natural logarithms.
struct Evidence {
    double log_evidence = -1.0e300;
    double best_log_density = -1.0e300;
    /// Largest log density that a closer look might still find.
    double bound = -1.0e300;
    /// By how much a second pass may change `log_evidence`, as far as the first can tell.
    double doubt = 0.0;
    scale::Fault best;  ///< with the magnitudes of the best fit
    std::array<Estimate, scale::max_magnitudes> estimate{};
};

/// Logarithm of the evidence that a second pass may add to or take from what the first one found.
double log_open(const Evidence& glanced);

/// Value of `magnitude` below which a share `u` of its prior lies, and the share below a value.
double magnitude_at(const scale::Magnitude& magnitude, double u);
double share_below(const scale::Magnitude& magnitude, double value);

/// Weighs one fault after another on the same sheet, in memory from an arena. What it is made of has to
/// outlive it.
class EvidenceIntegral {
  public:
    EvidenceIntegral(numbers::Arena& arena, const scale::Description& description, const Sheet& sheet,
                     const Rows& rows, Predictor& predictor, Likelihood& likelihood, const Scatter& scatter);

    /// A second fault, at its magnitudes, that is there whatever else is asked; healthy for none.
    void hold(const scale::Fault& also);

    /// First pass, linearised without the fault or in the middle of a magnitude's range: enough to drop what
    /// lies `hopeless` below a log density of `best`. With two magnitudes a coarse grid, which drops nothing.
    Evidence glance(const scale::Fault& fault, double best, double hopeless);

    /// Second pass, linearised at the best fit that the first one found, with estimates. What cannot reach a
    /// log evidence of `minor` need not be exact.
    Evidence weigh(const Evidence& glanced, double worth, double minor);

    /// Log density of everything read, at `fault` with its magnitudes as they are.
    double log_density(const scale::Fault& fault);

    /// The part of it that speaks of how far the readings are off, not of how uncertain they are.
    double log_fit(const scale::Fault& fault);

    /// Evidence of a fault that is not on the list: deviations of any size, independent of each other.
    double log_unlisted();

  private:
    class MagnitudeCurve;

    /// How a range of magnitudes is gone over: `at` is where the readings' answer is linearised.
    struct Sweep {
        ChordEffort effort;
        std::array<double, scale::max_magnitudes> at{};
        bool exact = false;  ///< as if linearised anew at every point
        bool lean = false;   ///< linearised where the fault is not there, whatever `at` says
        bool borrow = true;  ///< whether one linearisation may serve for all, with exact looks to correct it
        double minor = -1.0e300;  ///< two magnitudes: a log evidence below this need not be exact
        int outer_points = 7;
        int outer_splits = 6;
    };
    Evidence over(const scale::Fault& fault, Sweep& sweep);

    /// Where the readings fit best over two magnitudes, as shares of their priors.
    struct Peak {
        double u = 0.5;
        double v = 0.5;
        double log_density = -1.0e300;
        double v_sigma = 0.0;        ///< how well the second magnitude is known there
        double log_area = -1.0e300;  ///< of the normal peak
    };
    class Friction;
    Evidence glance_two(const scale::Fault& fault, const scale::Magnitudes& magnitudes);
    Evidence weigh_two(const Evidence& glanced, const scale::Magnitudes& magnitudes, Sweep& sweep);
    bool place(const scale::Fault& fault);
    /// Linearises at `fault`, which is placed, unless that was where it did last.
    bool factor_at(const scale::Fault& fault);
    /// Linearises for the placed rows where the fault is not there: once for all faults that move the same
    /// rows.
    bool lean();
    /// True when where it was linearised last misses the readings by no more than chance would.
    bool fits_within_chance() const;
    /// As `log_density`, linearised wherever it was last.
    double borrowed_log_density(const scale::Fault& fault);
    /// The integral over one magnitude. Where borrowing does not serve, `sweep` stops borrowing.
    ChordResult along(const scale::Fault& fault, const scale::Magnitude& magnitude, Sweep& sweep);
    /// Corrects an integral that was linearised at one place by a few exact looks, and runs over `curve`
    /// again where they are not level. False when that does not do.
    bool correct_borrowed(MagnitudeCurve& curve, const scale::Magnitude& magnitude, const Sweep& sweep,
                          ChordResult& result);
    /// Log probability of what was seen rather than measured: inspections, over range, blank.
    double log_seen(const scale::Fault& fault);
    /// The part of it that has a value or is a thing seen.
    double log_seen_or_readable(const scale::Fault& fault);

    const scale::Description& description_;
    const Sheet& sheet_;
    const Rows& rows_;
    Predictor& predictor_;
    Likelihood& likelihood_;
    const Scatter& scatter_;
    ChordIntegral chords_;
    std::span<double> white_;
    std::span<double> moved_white_;  ///< two of them, beside `white_`
    int chosen_key_ = -1;
    /// The fault, and the one held beside it, at which the likelihood was last factored.
    struct Factored {
        scale::Fault fault;
        scale::Fault held;
        friend bool operator==(const Factored&, const Factored&) = default;
    };
    Factored factored_at_;
    bool factored_ = false;      ///< at `factored_at_`, for the chosen rows
    bool leaning_ = false;       ///< the factor without a fault is kept for the chosen rows
    int without_reference_ = 0;  ///< rows with a value whose converter had none when they were last looked at
    scale::Fault held_;
    /// The scale without a fault explains the sheet: known from the first look at healthy, false before it.
    bool sound_fits_ = false;
};

}  // namespace cornerbench::diagnosis
