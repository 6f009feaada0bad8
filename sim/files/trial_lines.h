#pragma once

#include <stdexcept>
#include <string>
#include <type_traits>

#include <spdlog/fmt/fmt.h>
#include <nlohmann/json.hpp>

#include "sim/field/magnitude_ranks.h"
#include "sim/field/observer_trial.h"
#include "sim/field/trial_tally.h"
#include "sim/field/visit_trial.h"

/// One sheet of a trial as one line of its file, and back.
namespace cornerbench::files {

using TrialJson = nlohmann::ordered_json;

/// What a member of the document is not.
class Unfit : public std::runtime_error {
  public:
    using std::runtime_error::runtime_error;
};

/// The member `name` of `object`, of the kind asked for; throws `Unfit`.
template <class Value>
Value member(const TrialJson& object, const char* name) {
    const auto found = object.is_object() ? object.find(name) : object.end();
    if (!object.is_object() || found == object.end()) throw Unfit(fmt::format("'{}' is missing", name));
    const bool fits = std::is_same_v<Value, std::string> ? found->is_string()
                      : std::is_same_v<Value, bool>      ? found->is_boolean()
                      : std::is_floating_point_v<Value>  ? found->is_number()
                                                         : found->is_number_integer();
    if (!fits) throw Unfit(fmt::format("'{}' = {} is of another kind", name, found->dump()));
    return found->template get<Value>();
}

/// The list `name` of `object`; throws `Unfit`.
const TrialJson& list(const TrialJson& object, const char* name);

/// A whole number from `least` to `most`; throws `Unfit`.
int count(const TrialJson& object, const char* name, int least, int most);

/// One case as a line of the file.
TrialJson line_of(const field::SheetOutcome& outcome);
TrialJson line_of(const field::VisitCase& visit);
TrialJson line_of(const field::RankCase& ranks);
TrialJson line_of(const field::ObserverCase& observed);

/// Each throws `Unfit`.
void read_line(const TrialJson& line, field::SheetOutcome& outcome);
void read_line(const TrialJson& line, field::VisitCase& visit);
void read_line(const TrialJson& line, field::RankCase& ranks);
void read_line(const TrialJson& line, field::ObserverCase& observed);

}  // namespace cornerbench::files
