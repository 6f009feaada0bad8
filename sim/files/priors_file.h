#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "sim/files/file_error.h"
#include "sim/files/key_text.h"

/// How likely each cause is before any reading.
///
///     healthy = 0.15                     # probability that nothing is wrong
///     [causes]                           # weights beside each other; 1 where a cause is not named
///     loose-terminal = 2.0
///     damaged-arm = 0.5
namespace cornerbench::files {

/// What the core's diagnosis takes; `diagnosis::default_priors` holds where no file says another.
using diagnosis::Priors;

/// Every key of a file of priors; those of "causes" stand under [causes].
const std::vector<PlainKey>& priors_keys();

/// The keys of a file of priors for people, with an example, as text in 80 columns.
std::string priors_keys_text();

/// Reads a file of priors for the scale. A weight for a cause that this scale cannot have is a warning.
Loaded<Priors> load_priors(const std::string& path, const scale::Description& description);

/// The same from text in memory; `path` only names it in errors.
Loaded<Priors> parse_priors(std::string_view text, const std::string& path,
                            const scale::Description& description);

}  // namespace cornerbench::files
