#pragma once

#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "sim/field/diagnosed_sheet.h"
#include "sim/field/on_site.h"
#include "sim/training/call_verdict.h"
#include "sim/training/hint.h"

namespace cornerbench::training {

/// How a drill's scale comes about, and what checks cost.
struct DrillSetting {
    std::uint64_t seed = 1;
    field::CheckMinutes minutes;
    field::SheetSetting setting;
    diagnosis::Priors priors{};
};

/// A reading that was taken, and the minutes it took.
struct Step {
    diagnosis::Reading reading;
    double minutes = 0.0;
};

/// A hidden cause on a scale, a clock in simulated minutes, and somebody who looks for it.
class Drill {
  public:
    /// `description` is kept by reference. The complaint's corner weights are on the sheet already.
    Drill(const scale::Description& description, std::vector<scale::Fault> hidden,
          const DrillSetting& setting);

    /// The clock goes on by what the reading takes; nothing when the deck does not bear the load there, or
    /// when the sheet is full.
    std::optional<diagnosis::Reading> take(const diagnosis::Reading& wanted);
    double minutes_of(const diagnosis::Reading& wanted) const;

    /// Turns a trim and begins a new sheet, the corner round of the complaint read anew. False where there is
    /// none.
    bool turn_trim(int position, double by);
    /// As the usual test weight shows it over the supports, were the scale zeroed and its span set.
    double corner_spread_divisions() const;

    /// Both think as long as a diagnosis takes.
    Hint hint();
    /// The trainee's word; none for a scale on which nothing is wrong. Variants and magnitudes do not count.
    CallVerdict call(std::span<const scale::Fault> named);

    const diagnosis::Sheet& sheet() { return site_.sheet(); }
    int complaint_readings() const { return complaint_readings_; }
    const std::vector<Step>& steps() const { return steps_; }
    double minutes() const;
    int hints() const { return hints_; }
    int wrong_calls() const { return wrong_calls_; }
    /// The last word was right and only guessed.
    bool guessed() const { return guessed_; }
    const scale::Description& description() const { return description_; }
    std::span<const scale::Fault> hidden() const { return hidden_; }
    const DrillSetting& setting() const { return setting_; }

  private:
    const field::DiagnosedSheet& ranked();

    const scale::Description& description_;
    std::vector<scale::Fault> hidden_;
    DrillSetting setting_;
    field::OnSite site_;
    int complaint_readings_ = 0;
    std::vector<Step> steps_;
    double minutes_before_ = 0.0;  ///< of steps on sheets that were begun anew
    int hints_ = 0;
    std::size_t hinted_at_ = 0;  ///< readings on the sheet at the last hint; 0: none yet
    int wrong_calls_ = 0;
    bool guessed_ = false;
    std::optional<field::DiagnosedSheet> ranked_;  ///< of the readings taken so far
};

}  // namespace cornerbench::training
