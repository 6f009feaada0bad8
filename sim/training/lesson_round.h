#pragma once

#include <optional>
#include <span>
#include <vector>

#include "sim/files/lesson_file.h"
#include "sim/training/drill.h"

namespace cornerbench::training {

/// Somebody who does a lesson at the scale: the tools of a drill, and tasks that are ticked off.
class LessonRound {
  public:
    /// `lesson` is kept by reference.
    LessonRound(const files::LessonFile& lesson, const field::CheckMinutes& minutes);

    /// As `Drill::take`; ticks off the tasks that asked for this reading.
    std::optional<diagnosis::Reading> take(const diagnosis::Reading& wanted);
    /// What a task still wants on the deck for this reading in place of the weight that was put there.
    std::optional<double> other_mass_kg(const diagnosis::Reading& taken) const;
    /// The answer number `choice`, from 0, to the first open question. False when it is wrong; nothing when
    /// no question is open.
    std::optional<bool> answer(int choice);
    /// As `Drill::call`. Causes of two may be named one after the other.
    CallVerdict call(std::span<const scale::Fault> named);
    /// As `Drill::turn_trim`.
    bool turn_trim(int position, double by);

    bool done(int task) const { return done_[static_cast<std::size_t>(task)]; }
    bool all_done() const;
    /// The first task that is not done, or nothing.
    const files::LessonTask* open() const;

    Drill& drill() { return drill_; }
    const files::LessonFile& lesson() const { return lesson_; }

  private:
    void tick(files::LessonDeed deed);

    const files::LessonFile& lesson_;
    Drill drill_;
    std::vector<bool> done_;
    std::vector<bool> named_;  ///< of the hidden causes
};

}  // namespace cornerbench::training
