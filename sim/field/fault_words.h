#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/scale/causes.h"

/// Faults in words: `loose-terminal cell=5 wire=S+ ohm=38`. First the cause, then key=value words:
///
///     cell=5  cells=3,5  support=2  side=far  end=left     where
///     wire=S+  wires=E+,S-  arm=2                          which one, where the cause has that choice
///     ohm=38  turns=-6  mm=2  share=0.3 ...                every magnitude, by its unit
namespace cornerbench::field {

/// The fault, or in `error` what is wrong with the words and what would be valid.
struct ReadFault {
    std::optional<scale::Fault> fault;
    std::string error;
};

/// Reads one fault for this scale. Every magnitude has to be there.
ReadFault read_fault(std::string_view words, const scale::Description& description);

/// The words that `read_fault` reads back as this fault; magnitudes to six figures.
std::string fault_words(const scale::Fault& fault, const scale::Description& description);

/// The cause with that name.
std::optional<scale::Cause> find_cause(std::string_view name);

/// Names of all causes, and of a name that is none what to say: "nearest: ..." or all of them.
std::vector<std::string_view> cause_names();
std::string nearest_cause(std::string_view name);

/// Key of a site's word, such as "cell" or "side", and its value, such as "5" or "far"; empty without a site.
std::string_view site_key(const scale::Site& site);
std::string site_value(const scale::Site& site);

/// Key and value of a variant's word, such as "wires" and "E+,S-"; empty for a cause without that choice.
std::string_view variant_key(scale::Cause cause);
std::string variant_value(scale::Cause cause, const scale::Variant& variant);

/// Why this scale cannot have the cause, in words that end a sentence after "cannot have ...: ".
std::string why_impossible(const scale::Description& description, scale::Cause cause);

}  // namespace cornerbench::field
