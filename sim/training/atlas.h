#pragma once

#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "sim/field/corner_test.h"
#include "sim/field/next_check.h"
#include "sim/files/scale_file.h"
#include "sim/training/over_time.h"

/// What each cause would do to one very scale: computed from the model, nothing typed in.
namespace cornerbench::training {

/// A meter's reading beside that of the same scale without the cause.
struct MeterSign {
    diagnosis::Reading reading;  ///< with the cause, exact
    diagnosis::Reading sound;    ///< the same without it
    /// Standard uncertainties of a sound scale's reading between the two; 0 where one is no number.
    double standardised = 0.0;
    bool unchanged = false;  ///< less than three of them, and of the very cell at which the cause sits
};

/// Error over the support at which the cause sits, at one load.
struct ErrorAtLoad {
    double mass_kg = 0.0;
    double up_kg = 0.0;    ///< coming up from the empty deck
    double down_kg = 0.0;  ///< coming down from twice that
    double warm_kg = 0.0;  ///< coming up, every cable 20 K warmer
    bool known = true;     ///< false: no weight is shown, or the deck does not bear it
};

/// A cause that corner weights alone leave in doubt.
struct Lookalike {
    diagnosis::Candidate candidate;
    /// The check that tells it from the cause best for its minutes; nothing when none does.
    std::vector<field::NextCheck> told_by;
    /// What that check reads, exactly, with the cause and with this one at its best fit.
    diagnosis::Reading here;
    diagnosis::Reading there;
};

/// One cause at one place on the scale, and everything by which it shows.
struct AtlasEntry {
    scale::Fault fault;      ///< at an example place, of a likely size
    field::CornerTest test;  ///< what `corners` computes for it, exact
    int worst_support = 0;   ///< whose error is largest
    int near_support = 0;    ///< at which the cause sits; the worst one of a cause that sits at none
    std::vector<ErrorAtLoad> by_load;
    double left_at_zero_kg = 0.0;    ///< by which the empty deck differs after a load twice the test weight
    std::vector<MeterSign> signs;    ///< most telling first, at most eight, then the unchanged
    std::vector<Lookalike> like_it;  ///< on the corner weights alone, likeliest first, at most five
    double by_weights = 0.0;         ///< probability of the cause and place by corner weights alone
    double by_all = 0.0;             ///< and by every reading of a full sheet
    OverTime in_time;                ///< over the same support, the usual test weight left standing
};

/// The example of `cause` on this scale: its first place, and each magnitude three quarters up its prior, or
/// the first of some others, ever farther from the middle, that moves a reading by ten standard
/// uncertainties.
scale::Fault example_of(const scale::Description& description, scale::Cause cause);

/// The page of `fault`; sound and faulty scale are exactly as described.
AtlasEntry atlas_entry(const files::ScaleFile& scale, const files::Standard& standard,
                       const scale::Fault& fault);

}  // namespace cornerbench::training
