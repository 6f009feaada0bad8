#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <vector>

#include "sim/field/diagnosed_sheet.h"
#include "sim/field/simulated_sheet.h"

/// A technician called to a scale: reads the weights over the corners, asks the diagnosis, takes one check
/// after the other until it is sure, and looks at the clock.
namespace cornerbench::field {

/// How the scale comes about, what checks cost, and when a visit ends.
struct VisitSetting {
    SheetSetting setting;
    CheckMinutes minutes;
    /// A cause at its place as likely as this ends the visit; so does a group which no check splits.
    double sure = 0.95;
    double most_minutes = 480.0;  ///< a working day ends it too
};

/// Why a visit ended.
enum class VisitEnd : unsigned char {
    sure,
    sure_of_group,  ///< of several that no reading here would tell apart
    nothing_left,   ///< there is nothing more to read that would tell anything
    out_of_time,
    no_answer  ///< the diagnosis had none
};

/// What came of a visit: how it ended, how long it took, whether that was right.
struct VisitOutcome {
    VisitEnd end = VisitEnd::no_answer;
    double minutes = 0.0;  ///< without the complaint's own readings
    int checks = 0;
    bool right = false;  ///< the cause at its place came first at the end, or is one of the group

    bool ended_sure() const { return end == VisitEnd::sure || end == VisitEnd::sure_of_group; }
    friend bool operator==(const VisitOutcome&, const VisitOutcome&) = default;
};

/// What a technician may know when choosing the next check.
struct VisitSoFar {
    const scale::Description& description;
    const diagnosis::Sheet& sheet;
    const DiagnosedSheet& ranked;
    const CheckMinutes& minutes;
    const Workplace& from;
};

/// How the visit ends because nothing more needs to be read, or nothing when it goes on. `sure` as in
/// VisitSetting.
std::optional<VisitEnd> enough_is_read(const VisitSoFar& so_far, double sure);

/// The next reading to take, its value not filled in; nothing when there is none left.
using ChooseCheck = std::function<std::optional<diagnosis::Reading>(const VisitSoFar&)>;

/// The check that the program proposes.
std::optional<diagnosis::Reading> planned_check(const VisitSoFar& so_far);

/// The visit with number `seed` to a scale with `faults`, at most two. The same seed is the same specimen,
/// the same complaint and the same findings of looks, whatever is chosen.
VisitOutcome visit(const scale::Description& description, const diagnosis::Priors& priors,
                   std::span<const scale::Fault> faults, std::uint64_t seed, const VisitSetting& setting,
                   const ChooseCheck& choose);

}  // namespace cornerbench::field
