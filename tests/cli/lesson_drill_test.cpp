#include <spdlog/fmt/fmt.h>
#include <catch2/catch.hpp>
#include <filesystem>

#include "sim/field/cause_and_place.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/field/fault_words.h"
#include "sim/field/places.h"
#include "sim/files/lesson_file.h"
#include "sim/report/table.h"
#include "sim/training/drill_progress.h"
#include "sim/training/lesson_round.h"
#include "tests/cli/command_line.h"

using namespace cornerbench;
using namespace cornerbench::cli;

namespace fs = std::filesystem;

namespace {

std::vector<std::string> shipped_lessons() {
    std::vector<std::string> paths;
    for (const auto& entry : fs::directory_iterator(config("lessons"))) {
        if (entry.path().extension() == ".toml") paths.push_back(entry.path().string());
    }
    std::sort(paths.begin(), paths.end());
    return paths;
}

/// Where a load stands, as somebody types it.
std::string place_words(const scale::Description& d, const diagnosis::Load& load) {
    if (load.count == 0) return " empty";
    const auto stands_at = [&load](const field::Place& place) {
        return std::hypot(load.standing[0].x_m - place.x_m, load.standing[0].y_m - place.y_m) < 0.13;
    };
    for (int i = 0; i < d.cell_count(); ++i) {
        if (stands_at(field::over_support(d.deck, i)))
            return fmt::format(" over {} with {}", i + 1, load.standing[0].mass_kg);
    }
    for (int i = 0; i < d.deck.sections; ++i) {
        if (stands_at(field::over_section(d.deck, i)))
            return fmt::format(" section {} with {}", i + 1, load.standing[0].mass_kg);
    }
    return " nowhere";
}

/// What somebody types to take a reading.
std::string typed(const diagnosis::Reading& r, const scale::Description& d) {
    using diagnosis::Quantity;
    const std::string where = place_words(d, r.load);
    switch (r.quantity) {
        case Quantity::weight:
            return "weight" + where;
        case Quantity::signal:
            return fmt::format("signal {}{}", r.cell + 1, where);
        case Quantity::channel:
            return fmt::format("channel {}{}", r.cell + 1, where);
        case Quantity::resistance:
            return fmt::format("ohms {} {} {}", r.cell + 1, scale::name_of(r.between_a),
                               scale::name_of(r.between_b));
        case Quantity::excitation:
            return r.place == diagnosis::ExcitationPlace::box ? "volts box"
                   : r.place == diagnosis::ExcitationPlace::indicator
                       ? "volts indicator"
                       : fmt::format("volts cell {}", r.cell + 1);
        case Quantity::inspection:
            break;
    }
    switch (r.look) {
        case diagnosis::Look::load_arrow:
            return fmt::format("look arrow {}", r.cell + 1);
        case diagnosis::Look::wire_colours:
            return fmt::format("look colours {}", r.cell + 1);
        case diagnosis::Look::terminals:
            return fmt::format("look terminals {}", r.cell + 1);
        case diagnosis::Look::trim:
            return fmt::format("look trim {}", r.cell + 1);
        case diagnosis::Look::gap_at_support:
            return fmt::format("look gap {}", r.cell + 1);
        case diagnosis::Look::end_gap:
            return "look ends";
    }
    return "";
}

std::string call_of(const scale::Fault& fault) {
    return fmt::format("call {} {}={}\n", scale::name_of(fault.cause), field::site_key(fault.site),
                       field::site_value(fault.site));
}

std::string solution(const files::LessonFile& lesson) {
    std::string lines = "tasks\nhelp\n";
    for (const files::LessonTask& task : lesson.tasks) {
        switch (task.deed) {
            case files::LessonDeed::measure:
                lines += typed(task.reading, lesson.scale.description) + "\n";
                break;
            case files::LessonDeed::answer:
                lines += fmt::format("answer {}\n", task.right + 1);
                break;
            case files::LessonDeed::find:
                for (const scale::Fault& fault : lesson.faults) lines += call_of(fault);
                break;
            case files::LessonDeed::trim:
                for (const scale::Fault& fault : lesson.faults)
                    lines += fmt::format("turn {} {}\n", fault.site.index + 1, -fault.magnitude[0]);
                break;
        }
    }
    return lines;
}

}  // namespace

TEST_CASE("every lesson can be done in a terminal, from its own tasks", "[cli][lesson][long]") {
    const auto lessons = shipped_lessons();
    REQUIRE(lessons.size() >= 10);
    const std::string progress = (fs::temp_directory_path() / "cornerbench-lesson-progress.toml").string();
    fs::remove(progress);
    for (const std::string& path : lessons) {
        CAPTURE(path);
        const auto lesson = files::load_lesson(path);
        REQUIRE(lesson);
        const std::string lines = solution(*lesson.value);
        const Answer done = ask({"drill", "--lesson", path, "--progress", progress}, false, lines);
        INFO(done.out);
        CHECK(done.code == 0);
        CHECK(done.says(lesson.value->name));
        std::istringstream shown(done.out);
        for (std::string line; std::getline(shown, line);)
            CHECK(report::display_width(line) <= report::page_width);

        const Answer left = ask({"drill", "--lesson", path, "--json"}, false, "quit\n");
        CHECK(left.code == 1);
        CHECK(left.json()["finished"] == false);
        CHECK(left.json()["done"] == 0);
    }
    const auto kept = training::load_progress(progress);
    REQUIRE(kept);
    CHECK(kept.value->size() == lessons.size());
    CHECK(training::progress_words(*kept.value) ==
          fmt::format("Lessons finished: {}. Next: level 1.", lessons.size()));
    fs::remove(progress);
}

TEST_CASE("a lesson ticks off only what was asked, and a wrong word costs points", "[cli][lesson]") {
    const std::string path = config("lessons/01-one-bridge.toml");
    const Answer answer = ask({"drill", "--lesson", path, "--json"}, false,
                              "signal 2\nsignal 1 over 1\nsignal 1 over 1 with nan\nturn 2 nan\nanswer "
                              "1\nanswer 9\nanswer x\nturn 1\nhint\n"
                              "call nothing\nsignal 1 over 1 with 5000\n");
    CHECK(answer.code == 1);
    CHECK(answer.json()["done"] == 1);
    CHECK(answer.json()["wrong"] == 1);
    CHECK(answer.json()["hints"] == 1);
    const Answer refused = ask({"drill", "--lesson", path, "--level", "2"});
    CHECK(refused.code == 2);
    CHECK(ask({"drill"}).code == 2);
}

TEST_CASE("turning a trim in a lesson shows in the corner round that follows", "[cli][lesson]") {
    const auto lesson = files::load_lesson(config("lessons/04-turn-the-trims.toml"));
    REQUIRE(lesson);
    training::LessonRound round(*lesson.value, {});
    const double before = round.drill().corner_spread_divisions();
    REQUIRE(round.turn_trim(1, -5.0));
    const double halfway = round.drill().corner_spread_divisions();
    REQUIRE(round.turn_trim(1, -5.0));
    const double after = round.drill().corner_spread_divisions();
    CHECK(halfway < before);
    CHECK(after < halfway);
    CHECK(after < 1.5);
    // Past its end it stays at its end.
    REQUIRE(round.turn_trim(1, -1000.0));
    const double at_end = round.drill().corner_spread_divisions();
    REQUIRE(round.turn_trim(1, -1000.0));
    CHECK(round.drill().corner_spread_divisions() == at_end);
}

TEST_CASE("what a lesson has one read leads to what it has one find", "[lesson][long]") {
    int to_find = 0;
    for (const std::string& path : shipped_lessons()) {
        CAPTURE(path);
        const auto loaded = files::load_lesson(path);
        REQUIRE(loaded);
        const files::LessonFile& lesson = *loaded.value;
        if (!lesson.hidden) continue;
        ++to_find;
        training::LessonRound round(lesson, {});
        for (const files::LessonTask& task : lesson.tasks) {
            if (task.deed == files::LessonDeed::measure) CHECK(round.take(task.reading));
        }
        // The causes that are hidden come first, or are of the group that readings cannot tell from the
        // first; or the next checks that are proposed lead there.
        bool found = false;
        for (int more = 0; more < 6 && !found; ++more) {
            const training::Hint hint = round.drill().hint();
            const field::DiagnosedSheet ranked =
                field::rank_causes(lesson.scale.description, round.drill().sheet(),
                                   diagnosis::default_priors(lesson.scale.description));
            diagnosis::Candidate truth;
            truth.fault = lesson.faults.front();
            if (lesson.faults.size() > 1) truth.also = lesson.faults.back();
            const diagnosis::Candidate& top = ranked.candidates.front();
            for (const diagnosis::Candidate& c : ranked.candidates) {
                const bool leads = &c == &top || (c.group >= 0 && c.group == top.group);
                found = found || (leads && field::same_cause_and_place(c, truth));
            }
            if (found || !hint.check) break;
            round.take(hint.check->reading);
        }
        CHECK(found);
    }
    CHECK(to_find >= 6);
}

TEST_CASE("a lesson says when another weight is wanted, and takes it in tonnes", "[cli][lesson]") {
    const std::string path = config("lessons/01-one-bridge.toml");
    const Answer answer =
        ask({"drill", "--lesson", path}, false, "signal\nsignal 1 over 1\nsignal 1 over 1 with 5 t\n");
    CHECK(answer.says("signal: of which? valid: 1 to 4 behind it, such as 'signal 1'"));
    CHECK(answer.says("The task wants 5.00 t there: 'with 5000' behind the words."));
    CHECK(answer.says("1 of 5 tasks done."));
}

TEST_CASE("a lesson that asks which wire does not take another one", "[cli][lesson]") {
    const std::string path = config("lessons/07-the-silent-cell.toml");
    const std::vector<std::string> words{"drill", "--lesson", path, "--json"};
    CHECK(ask(words, false, "answer 3\ncall open-wire cell=5 wire=S+\n").json()["done"] == 0);
    CHECK(ask(words, false, "answer 4\ncall open-wire cell=5 wire=S-\n").json()["done"] == 2);
    CHECK(ask({"drill", "--lesson", path}, false, "call open-wire cell=5 wire=E-\n")
              .says("Cause and place are right, but not wire=E-."));
}
