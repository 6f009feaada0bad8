#pragma once

#include <array>
#include <span>

#include "firmware/diagnosis/evidence.h"
#include "firmware/diagnosis/reading.h"
#include "firmware/diagnosis/scatter.h"
#include "firmware/scale/causes.h"

/// From a sheet of readings to causes with probabilities, in memory that the caller gives.
namespace cornerbench::diagnosis {

/// Probability of each cause before any reading; impossible ones at 0, the sum 1.
using Priors = std::array<double, scale::cause_count>;

/// Healthy 0.15, the rest even over the causes that this scale can have.
Priors default_priors(const scale::Description& description);

/// Most variants of one cause: the ten pairs of a cell's wires.
inline constexpr int max_variants = 10;

/// One way in which a cause can be there: which wire, which arm.
struct VariantShare {
    double share = 0.0;  ///< of the cause's probability; all of them sum to 1
    std::array<double, scale::max_magnitudes> magnitude{};  ///< of its best fit
};

/// One cause at one place.
struct Candidate {
    scale::Fault fault;  ///< the likeliest variant, with the magnitudes of the best fit
    std::array<VariantShare, max_variants> variants{};  ///< in the order of scale::variant_at
    std::array<Estimate, scale::max_magnitudes> estimate{};
    double prior = 0.0;
    double log_evidence = 0.0;
    double best_log_density = 0.0;  ///< at the best fit; without magnitudes the evidence itself
    double probability = 0.0;
    /// Number of the group of candidates that these readings cannot tell apart, from 0; -1 when alone.
    int group = -1;
    scale::Fault also;  ///< a second fault at once, with the magnitudes of the best fit; healthy for none
    std::array<Estimate, scale::max_magnitudes> also_estimate{};

    bool two_at_once() const { return also.cause != scale::Cause::healthy; }
};

/// A reading that disagrees with all others.
struct WildReading {
    int reading = 0;
    double probability = 0.0;
    double standard_uncertainties = 0.0;  ///< by which it departs from what the others let expect
};

/// Why a sheet could not be diagnosed.
enum class DiagnosisError : unsigned char {
    none,
    memory,       ///< the caller gave too little: see `diagnosis_doubles`
    too_many,     ///< more than max_readings
    deck,         ///< the sound scale's deck cannot stand
    not_positive  ///< a covariance failed: an uncertainty is zero or not a number
};

inline constexpr int max_wild = 2;

/// What came of a diagnosis; after an error nothing else in it is meant.
struct Outcome {
    DiagnosisError error = DiagnosisError::none;
    int candidates = 0;  ///< filled, most probable first
    int groups = 0;
    std::array<WildReading, max_wild> wild{};
    int wild_count = 0;
    int measured = 0;           ///< values compared
    double misfit = 0.0;        ///< sum of squared standardised residuals at the best fit
    double log_evidence = 0.0;  ///< of the whole sheet, over all causes
    double log_wild = 0.0;      ///< part of it: prior and density of the wild readings
};

/// Number of causes and places that this scale can have: the room that `diagnose` needs for candidates.
int candidate_count(const scale::Description& description);

/// Working memory, in doubles, that `diagnose` needs for this sheet.
std::size_t diagnosis_doubles(const scale::Description& description, const Sheet& sheet);

/// Ranks every cause at every place. `candidates` and `memory` belong to the caller; the sheet's readings and
/// the description are only read.
Outcome diagnose(const scale::Description& description, const Sheet& sheet, const Priors& priors,
                 std::span<double> memory, std::span<Candidate> candidates, const Scatter& scatter = {});

/// A reading beside its prediction, in the reading's unit; resistances as natural logarithms.
struct Compared {
    int reading = 0;
    double value = 0.0;
    double predicted = 0.0;
    double uncertainty = 0.0;  ///< standard, of measurement and everything never known exactly
    /// The same once all other readings have told what they can of what was never known.
    double given_others = 0.0;
    double given_others_uncertainty = 0.0;
};

/// Compares every measured value with what `fault` predicts, `also` with it, without the readings
/// `set_aside`. Returns how many; `out` holds one per reading. Memory as for `diagnose`.
int compare(const scale::Description& description, const Sheet& sheet, const scale::Fault& fault,
            std::span<const WildReading> set_aside, std::span<double> memory, std::span<Compared> out,
            const Scatter& scatter = {}, const scale::Fault& also = {});

/// By how much `fault`, and `also` with it, misses everything read: minus twice the logarithm of its fit, for
/// measured values the sum of their squared standardised residuals. Memory as for `diagnose`.
double misfit_of(const scale::Description& description, const Sheet& sheet, const scale::Fault& fault,
                 std::span<const WildReading> set_aside, std::span<double> memory,
                 const Scatter& scatter = {}, const scale::Fault& also = {});

/// A reading without a value (over range, under range, blank, a thing seen) beside what a fault predicts.
struct Seen {
    int reading = 0;
    double probability = 0.0;  ///< of reading that
    /// What the fault predicts instead: a value in the reading's unit (resistances as natural logarithms), or
    /// for weights and channels what is shown.
    double predicted = 0.0;
    Shown shown = Shown::value;
};

/// The same for every reading without a value. Returns how many.
int compare_seen(const scale::Description& description, const Sheet& sheet, const scale::Fault& fault,
                 std::span<const WildReading> set_aside, std::span<double> memory, std::span<Seen> out,
                 const Scatter& scatter = {}, const scale::Fault& also = {});

}  // namespace cornerbench::diagnosis
