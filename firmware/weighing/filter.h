#pragma once

#include <cstdint>
#include <optional>

#include "firmware/weighing/sinc.h"

/// From the converter's samples to a slower, quieter stream without mains pick-up.
///
/// Two Sinc decimators in a row. The output rate is the largest that divides both the converter's rate and
/// the mains frequencies, so every mains frequency and all its multiples are nulls, at whatever frequency
/// they show after sampling: at 100 samples a second 60 Hz shows as 40 Hz and is nulled there. What cannot be
/// nulled is a multiple of the converter's own rate, which shows as a constant: only the converter's own
/// filter can remove it, and `hidden_multiple` says which multiple of the mains that is first.
///
/// With both mains frequencies nulled (output 10 Hz) and the default orders:
///
///   rate   factors   inputs behind   a step has       white noise that    first multiple of the mains
///   Hz               an output       passed after ms  stays (variance)    that cannot be nulled
///   100    1 x 10      19            190              0.067               2 x 50 Hz, 5 x 60 Hz
///   400    4 x 10      82            205              0.0167              8 x 50 Hz, 20 x 60 Hz
///   800    8 x 10     166            208              0.0083              16 x 50 Hz, 40 x 60 Hz
///   4800   48 x 10   1006            210              0.0014              96 x 50 Hz, 80 x 60 Hz
///
/// and shows in the next output, up to 100 ms later.
namespace cornerbench::weighing {

/// The mains frequencies that are nulled.
enum class Mains : unsigned char { both, hz_50, hz_60 };

/// The converter's rate, what is to be nulled, and how steeply.
struct FilterSettings {
    std::int64_t rate_mHz = 100'000;  ///< of the converter, in thousandths of a hertz
    Mains mains = Mains::both;
    int first_order = 3;   ///< of the decimator at the converter's rate; 1 to 4
    int second_order = 2;  ///< of the one behind it; the nulls are the wider the higher it is
    int converter_bits = 24;
};

/// Why settings make no filter.
enum class FilterError : unsigned char {
    none,
    bad_rate,      ///< not between 5 Hz and 1 MHz
    bad_order,     ///< not 1 to 4
    bad_bits,      ///< not 8 to 32
    mains_hidden,  ///< a mains frequency is a multiple of the rate: it shows as a constant
    too_slow,      ///< rate and mains have no common divisor of 1 Hz or more: take another rate
    too_many_bits  ///< sums would pass 53 bits: take a lower order or fewer bits
};

/// What a cascade does, worked out from the settings.
struct FilterPlan {
    FilterError error = FilterError::none;
    SincShape first;
    SincShape second;
    std::int64_t rate_mHz = 0;
    std::int64_t output_mHz = 0;

    /// Samples to one output.
    int factor() const { return first.factor * second.factor; }

    /// An output over this is a code.
    std::int64_t gain() const { return first.gain() * second.gain(); }

    /// Inputs that one output depends on. A response is symmetric, so its delay is half of them.
    std::int64_t length() const;

    /// Outputs after which a step shows in full, wherever between two outputs it came: one less where it came
    /// just behind one and the first decimator passes everything through.
    int settling_outputs() const;

    /// Share of the variance of white noise at the converter that an output keeps (gain taken out).
    double noise_gain() const;

    /// Correlation of outputs `apart` one from another, -1 to 1, with white noise at the converter.
    double output_correlation(int apart) const;

    /// First multiple of `mains_mHz` that shows as a constant: it is not nulled.
    std::int64_t hidden_multiple(std::int64_t mains_mHz) const;
};

/// Works out the cascade; with an error nothing else in it is meant.
FilterPlan plan_filter(const FilterSettings& settings);

/// One output: `sum` over the plan's gain is the mean code.
struct Filtered {
    std::int64_t sum = 0;
    bool valid = false;  ///< every sample it depends on came and was good
};

/// The cascade at work. A sample that is missing, saturated or without reference is pushed as not good, at
/// its time; every output it would have had a part in is invalid, and nothing of it stays behind.
class Filter {
  public:
    Filter() = default;

    /// `plan` without an error.
    explicit Filter(const FilterPlan& plan);

    /// The next sample; an output whenever one is due.
    std::optional<Filtered> push(std::int32_t code, bool good);

  private:
    SincDecimator first_;
    SincDecimator second_;
    std::int64_t length_ = 0;
    std::int64_t good_run_ = 0;  ///< good samples in a row, counted up to `length_`
};

}  // namespace cornerbench::weighing
