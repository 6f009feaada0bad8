#include "sim/cli/lesson_talk.h"

#include <algorithm>
#include <cmath>
#include <sstream>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/tool_talk.h"
#include "sim/field/cause_and_place.h"
#include "sim/field/fault_words.h"
#include "sim/field/read_number.h"
#include "sim/field/trimmed_corners.h"
#include "sim/report/drill_report.h"
#include "sim/report/finding_words.h"
#include "sim/report/json_document.h"
#include "sim/report/number_words.h"
#include "sim/training/drill_words.h"
#include "sim/training/lesson_round.h"

namespace cornerbench::cli {

namespace {

constexpr int per_wrong_call = 15;
constexpr int per_hint = 5;

class LessonTalk : private ToolTalk {
  public:
    LessonTalk(const files::LessonFile& lesson, const field::CheckMinutes& minutes,
               const std::string& progress_path, Session& session)
        : ToolTalk(session, lesson.scale, progress_path), lesson_(lesson), round_(lesson, minutes) {}

    Exit hold() {
        out() << session_.style(report::Tone::strong, lesson_.name) << '\n';
        paragraphs(lesson_.text);
        tasks();
        say("'help' lists the tools, 'tasks' what is left to do.");
        for (std::string line; !round_.all_done() && next(round_.drill().minutes(), line);) {
            if (!answer(line)) break;
        }
        return close();
    }

  private:
    void paragraphs(const std::string& text) {
        std::istringstream lines(text);
        for (std::string line; std::getline(lines, line);) line.empty() ? void(out() << '\n') : say(line);
        out() << '\n';
    }

    void tasks() {
        for (std::size_t i = 0; i < lesson_.tasks.size(); ++i) {
            const files::LessonTask& task = lesson_.tasks[i];
            const bool done = round_.done(static_cast<int>(i));
            say(fmt::format("{}. {}: {}", i + 1, done ? "Done" : "To do", task.text), 2);
            for (std::size_t choice = 0; choice < task.choices.size(); ++choice)
                say(fmt::format("answer {}: {}", choice + 1, task.choices[choice]), 4);
        }
        out() << '\n';
    }

    /// False when the learner leaves.
    bool answer(const std::string& line) {
        if (line.empty()) return true;
        if (line == "quit" || line == "q" || line == "give up") return false;
        const int before = done();
        const std::string first = line.substr(0, line.find(' '));
        const std::string rest = line.size() > first.size() ? line.substr(first.size() + 1) : "";
        if (first == "help") {
            help();
        } else if (line == "tasks") {
            tasks();
        } else if (line == "sheet") {
            report::print_drill_sheet(out(), round_.drill(), session_.style);
        } else if (line == "hint") {
            hint();
        } else if (first == "causes") {
            causes(rest);
        } else if (first == "answer") {
            choose(rest);
        } else if (first == "turn") {
            turn(rest);
        } else if (first == "call") {
            call(rest);
        } else {
            read(line);
        }
        if (done() > before) say(fmt::format("{} of {} tasks done.", done(), lesson_.tasks.size()), 2);
        return true;
    }

    void read(const std::string& line) {
        std::optional<double> other_kg;
        use_tool(line, round_.drill(), [&](const diagnosis::Reading& wanted) {
            other_kg = round_.other_mass_kg(wanted);
            return round_.take(wanted);
        });
        if (!other_kg) return;
        say(fmt::format("The task wants {} there: 'with {:g}' behind the words.",
                        report::MassWords(d()).with_unit(*other_kg), *other_kg),
            2);
    }

    int done() const {
        int sum = 0;
        for (std::size_t i = 0; i < lesson_.tasks.size(); ++i)
            sum += round_.done(static_cast<int>(i)) ? 1 : 0;
        return sum;
    }

    void help() {
        list_tools();
        if (field::can_trim(d()))
            say(fmt::format("turn 1..{} BY    turns that trim on by so much (less than 0: back); the corner "
                            "round is read anew",
                            d().cell_count()),
                2);
        say("sheet    everything read so far, beside a sound scale", 2);
        say("tasks    what is to be done, and what is done", 2);
        say("answer N    your answer to the first question that is open", 2);
        say("hint    the hint of the first open task", 2);
        say("causes [NAME]    what may be wrong, or one cause in full", 2);
        say("call CAUSE PLACE    your word, such as 'call loose-terminal cell=3'", 2);
        say("quit    leaves the lesson", 2);
    }

    void hint() {
        const files::LessonTask* const task = round_.open();
        ++hints_;
        say(task->hint.empty() ? "This task has no hint." : task->hint, 2);
    }

    void choose(const std::string& word) {
        const files::LessonTask* question = nullptr;
        for (std::size_t i = lesson_.tasks.size(); i-- > 0;) {
            if (!round_.done(static_cast<int>(i)) && !lesson_.tasks[i].choices.empty())
                question = &lesson_.tasks[i];
        }
        if (question == nullptr) {
            say("No question is open.");
            return;
        }
        const int most = static_cast<int>(question->choices.size());
        const int choice = field::read_number<int>(word).value_or(0);
        if (choice < 1 || choice > most) {
            say(fmt::format("valid: answer 1 to {}", most));
            return;
        }
        const bool right = round_.answer(choice - 1).value_or(false);
        wrong_ += right ? 0 : 1;
        say(right ? "Right." : "No, look again.", 2);
    }

    void turn(const std::string& words) {
        std::istringstream parts(words);
        std::string which;
        std::string by;
        std::string more;
        parts >> which >> by >> more;
        const int position = field::read_number<int>(which).value_or(0);
        const auto turns = field::read_number<double>(by);
        const bool fits =
            turns && std::isfinite(*turns) && more.empty() && position >= 1 && position <= d().cell_count();
        if (!fits) {
            say(fmt::format("valid: turn, a trim from 1 to {} and by how much, such as 'turn 2 -1.5'",
                            d().cell_count()));
            return;
        }
        if (!round_.turn_trim(position - 1, *turns)) {
            say("This box has no trims to turn.");
            return;
        }
        say(fmt::format("The corners now lie within {:.1f} divisions of each other.",
                        round_.drill().corner_spread_divisions()),
            2);
    }

    void call(const std::string& words) {
        const training::NamedCauses named = training::read_call(words, d());
        if (!named.faults) {
            say(named.error);
            return;
        }
        if (is_other_variant(named)) {
            ++wrong_;
            return;
        }
        const training::CallVerdict verdict = round_.call(*named.faults);
        switch (verdict.end) {
            case training::CallEnd::right:
            case training::CallEnd::as_right_as_can_be:
                report::print_right_call(out(), verdict, d(), 2);
                return;
            case training::CallEnd::wrong:
                ++wrong_;
                break;
            case training::CallEnd::one_of_two:
                if (named.faults->size() > 1) ++wrong_;
                break;
            case training::CallEnd::too_early:
                break;
        }
        report::print_wrong_call(out(), verdict, *named.faults, round_.drill());
    }

    /// Says so where cause and place are right and the wire or arm that was named with them is not.
    bool is_other_variant(const training::NamedCauses& named) {
        for (std::size_t i = 0; i < named.faults->size(); ++i) {
            const scale::Fault& fault = (*named.faults)[i];
            for (const scale::Fault& hidden : lesson_.faults) {
                if (!named.variant_named[i] || !field::same_cause_and_place(fault, hidden)) continue;
                const std::string value = field::variant_value(fault.cause, fault.variant);
                if (value == field::variant_value(hidden.cause, hidden.variant)) continue;
                say(fmt::format("Cause and place are right, but not {}={}.", field::variant_key(fault.cause),
                                value),
                    2);
                return true;
            }
        }
        return false;
    }

    int points() const {
        return round_.all_done() ? std::max(0, 100 - per_wrong_call * wrong_ - per_hint * hints_) : 0;
    }

    Exit close() {
        const bool finished = round_.all_done();
        out() << '\n';
        if (finished) {
            out() << session_.style(report::Tone::good,
                                    fmt::format("Every task is done: {} of 100 points", points()))
                  << '\n';
            paragraphs(lesson_.learned);
        } else {
            say(fmt::format("Left with {} of {} tasks done.", done(), lesson_.tasks.size()));
        }
        if (session_.json) {
            report::Json document = report::json_document();
            document["lesson"] = lesson_.name;
            document["tasks"] = lesson_.tasks.size();
            document["done"] = done();
            document["finished"] = finished;
            document["minutes"] = round_.drill().minutes();
            document["wrong"] = wrong_;
            document["hints"] = hints_;
            document["points"] = points();
            report::print_json(session_.out, document);
        }
        training::DoneDrill kept;
        kept.scale = scale_.name;
        kept.lesson = lesson_.name;
        kept.level = 0;
        kept.seed = lesson_.seed;
        kept.right = finished;
        kept.points = points();
        kept.minutes = round_.drill().minutes();
        keep(std::move(kept));
        return finished ? Exit::done : Exit::answer_is_no;
    }

    const files::LessonFile& lesson_;
    training::LessonRound round_;
    int hints_ = 0;
    int wrong_ = 0;
};

}  // namespace

Exit hold_lesson(const files::LessonFile& lesson, const field::CheckMinutes& minutes,
                 const std::string& progress_path, Session& session) {
    return LessonTalk(lesson, minutes, progress_path, session).hold();
}

}  // namespace cornerbench::cli
