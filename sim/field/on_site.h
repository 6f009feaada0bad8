#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "sim/field/check_minutes.h"
#include "sim/field/field_readings.h"
#include "sim/field/simulated_sheet.h"

namespace cornerbench::field {

/// The scale that was called for, with somebody who takes readings there and writes them down.
class OnSite {
  public:
    /// `description` is kept by reference. The same seed is the same specimen, the same instruments and the
    /// same findings of looks.
    OnSite(const scale::Description& description, std::span<const scale::Fault> faults, std::uint64_t seed,
           const SheetSetting& setting);

    /// The weights over the corners, the deck empty before and after. Costs no minutes: it is what the owner
    /// called with.
    void hear_complaint();

    /// Takes `wanted`, whose value does not matter, and writes it down. False when the deck does not bear it:
    /// then it is not on the sheet.
    bool take(const diagnosis::Reading& wanted);

    /// Turns a trim (or a corner gain) by so much, at most to its end; a new sheet is begun, since what was
    /// read before is of another scale. False where there is none to turn.
    bool turn_trim(int position, double by);

    const diagnosis::Sheet& sheet();
    /// As it really is.
    const scale::Condition& truth() const { return prepared_.truth; }
    const Workplace& from() const { return from_; }

  private:
    void walk_up();
    void bring_weight(const diagnosis::Reading& wanted);
    diagnosis::Reading value_of(const diagnosis::Reading& wanted);
    diagnosis::Reading look_at(diagnosis::Reading look) const;

    const scale::Description& description_;
    std::vector<scale::Fault> faults_;
    std::uint64_t seed_ = 0;
    SheetSetting setting_;
    PreparedScale prepared_;
    std::optional<FieldReadings> field_;
    std::vector<diagnosis::Reading> readings_;
    diagnosis::Sheet sheet_;
    Workplace from_;
};

}  // namespace cornerbench::field
