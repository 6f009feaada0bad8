#include "sim/training/lesson_round.h"

#include <algorithm>

#include "sim/field/cause_and_place.h"
#include "sim/training/task_answer.h"

namespace cornerbench::training {

using diagnosis::Reading;
using files::LessonDeed;

LessonRound::LessonRound(const files::LessonFile& lesson, const field::CheckMinutes& minutes)
    : lesson_(lesson),
      drill_(lesson.scale.description, lesson.faults,
             {lesson.seed, minutes, {}, diagnosis::default_priors(lesson.scale.description)}),
      done_(lesson.tasks.size()),
      named_(lesson.faults.size()) {}

bool LessonRound::all_done() const {
    return std::all_of(done_.begin(), done_.end(), [](bool done) { return done; });
}

const files::LessonTask* LessonRound::open() const {
    const auto first = std::find(done_.begin(), done_.end(), false);
    return first == done_.end() ? nullptr : &lesson_.tasks[static_cast<std::size_t>(first - done_.begin())];
}

void LessonRound::tick(LessonDeed deed) {
    for (std::size_t i = 0; i < done_.size(); ++i) {
        if (lesson_.tasks[i].deed == deed) done_[i] = true;
    }
}

std::optional<Reading> LessonRound::take(const Reading& wanted) {
    const auto read = drill_.take(wanted);
    for (std::size_t i = 0; read && i < done_.size(); ++i) {
        const files::LessonTask& task = lesson_.tasks[i];
        if (task.deed == LessonDeed::measure && answers_task(wanted, task.reading)) done_[i] = true;
    }
    return read;
}

std::optional<double> LessonRound::other_mass_kg(const Reading& taken) const {
    std::optional<double> wanted;
    for (std::size_t i = 0; i < done_.size(); ++i) {
        const files::LessonTask& task = lesson_.tasks[i];
        if (task.deed != LessonDeed::measure || taken.load.count != 1 || task.reading.load.count != 1)
            continue;
        if (answers_task(taken, task.reading)) return std::nullopt;
        const double mass_kg = task.reading.load.standing[0].mass_kg;
        Reading with_it = taken;
        with_it.load.standing[0].mass_kg = mass_kg;
        if (!done_[i] && answers_task(with_it, task.reading)) wanted = mass_kg;
    }
    return wanted;
}

std::optional<bool> LessonRound::answer(int choice) {
    for (std::size_t i = 0; i < done_.size(); ++i) {
        if (done_[i] || lesson_.tasks[i].deed != LessonDeed::answer) continue;
        done_[i] = choice == lesson_.tasks[i].right;
        return done_[i];
    }
    return std::nullopt;
}

CallVerdict LessonRound::call(std::span<const scale::Fault> named) {
    const CallVerdict verdict = drill_.call(named);
    for (std::size_t i = 0; i < named_.size(); ++i) {
        for (const scale::Fault& fault : named) {
            if (field::same_cause_and_place(fault, lesson_.faults[i])) named_[i] = true;
        }
    }
    const bool every = std::all_of(named_.begin(), named_.end(), [](bool named_one) { return named_one; });
    if (every || is_found(verdict.end)) tick(LessonDeed::find);
    return verdict;
}

bool LessonRound::turn_trim(int position, double by) {
    if (!drill_.turn_trim(position, by)) return false;
    const double spread = drill_.corner_spread_divisions();
    for (std::size_t i = 0; i < done_.size(); ++i) {
        const files::LessonTask& task = lesson_.tasks[i];
        if (task.deed == LessonDeed::trim) done_[i] = spread <= task.within_divisions;
    }
    return true;
}

}  // namespace cornerbench::training
