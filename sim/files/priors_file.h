#pragma once

#include <array>
#include <string>
#include <string_view>

#include "firmware/scale/causes.h"
#include "sim/files/file_error.h"

/// How likely each cause is before any reading.
///
///     healthy = 0.15                     # probability that nothing is wrong
///     [causes]                           # weights beside each other; 1 where a cause is not named
///     loose-terminal = 2.0
///     damaged-arm = 0.5
namespace cornerbench::files {

/// Probability of each cause by `scale::index_of`; sums to 1, and is 0 for a cause this scale cannot have.
using Priors = std::array<double, scale::cause_count>;

/// Probability of a healthy scale where no file says another.
inline constexpr double default_healthy = 0.15;

/// Healthy 0.15, the rest even over the causes that this scale can have.
Priors default_priors(const scale::Description& description);

/// Reads a file of priors for the scale. A weight for a cause that this scale cannot have is a warning.
Loaded<Priors> load_priors(const std::string& path, const scale::Description& description);

/// The same from text in memory; `path` only names it in errors.
Loaded<Priors> parse_priors(std::string_view text, const std::string& path,
                            const scale::Description& description);

}  // namespace cornerbench::files
