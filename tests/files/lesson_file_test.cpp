#include "sim/files/lesson_file.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include "sim/field/diagnosed_sheet.h"
#include "sim/field/simulated_sheet.h"
#include "tests/files/error_matchers.h"
#include "tests/files/loaded_check.h"

using namespace cornerbench;
using namespace cornerbench::files;
using namespace cornerbench::files::testing;

namespace {

const std::string head =
    "name = \"l\"\n"
    "scale = \"yard.toml\"\n"
    "text = \"\"\"One.\n\nTwo.\"\"\"\n"
    "learned = \"Three.\"\n";

const std::string ask = "[[task]]\ndo = \"measure\"\ntext = \"t\"\n";

Loaded<LessonFile> lesson(const std::string& rest, const std::string& top = head) {
    return parse_lesson(top + rest, "l.toml", sources_with(sheet_scale()));
}

std::vector<std::string> shipped() {
    std::vector<std::string> paths;
    for (const auto& entry : std::filesystem::directory_iterator(CORNERBENCH_SOURCE_DIR "/configs/lessons")) {
        if (entry.path().extension() == ".toml") paths.push_back(entry.path().string());
    }
    return paths;
}

LessonFile load(const std::string& path) {
    const auto loaded = load_lesson(path);
    INFO(to_string(loaded.errors));
    REQUIRE(loaded);
    return *loaded.value;
}

}  // namespace

TEST_CASE("A lesson holds its texts, its faults and its tasks in order", "[lesson]") {
    const auto loaded =
        lesson("seed = 7\nhidden = true\nwith = [\"upside-down cell=2\", \"open-wire cell=3 wire=S+\"]\n" +
               ask + "what = \"resistance\"\ncell = 3\nbetween = [\"S+\", \"S-\"]\nhint = \"h\"\n" +
               "[[task]]\ndo = \"answer\"\ntext = \"q\"\nchoices = [\"a\", \"b\", \"c\"]\nright = 2\n" +
               "[[task]]\ndo = \"find\"\ntext = \"f\"\n");
    INFO(to_string(loaded.errors));
    REQUIRE(loaded);
    const LessonFile& l = *loaded.value;
    CHECK(l.text == "One.\n\nTwo.");
    CHECK(l.learned == "Three.");
    CHECK(l.seed == 7);
    CHECK(l.hidden);
    REQUIRE(l.faults.size() == 2);
    CHECK(l.faults[1].cause == scale::Cause::open_wire);
    REQUIRE(l.tasks.size() == 3);
    CHECK(l.tasks[0].deed == LessonDeed::measure);
    CHECK(l.tasks[0].reading.quantity == diagnosis::Quantity::resistance);
    CHECK(l.tasks[0].reading.cell == 2);
    CHECK(l.tasks[0].hint == "h");
    CHECK_FALSE(l.tasks[0].reading_text.empty());
    CHECK(l.tasks[1].choices.size() == 3);
    CHECK(l.tasks[1].right == 1);
    CHECK(l.tasks[2].deed == LessonDeed::find);
}

TEST_CASE("What a lesson says wrong is answered with line, key and what would be valid", "[lesson]") {
    const std::string find = "[[task]]\ndo = \"find\"\ntext = \"f\"\n";
    require_only(lesson(""), {ErrorKind::missing_key, 0, "task", "each begun by [[task]]"});
    require_only(lesson("[[task]]\ndo = \"fnid\"\ntext = \"f\"\n"),
                 {ErrorKind::out_of_range, 8, "do", "nearest is \"find\""});
    require_only(lesson(find), {ErrorKind::impossible, 8, "do", "nothing to find"});
    require_only(lesson("[[task]]\ndo = \"trim\"\ntext = \"f\"\n"),
                 {ErrorKind::impossible, 8, "do", "no trims"});
    require_only(lesson("with = [\"healthy\"]\n" + ask + "what = \"weight\"\nload = \"empty\"\n"),
                 {ErrorKind::out_of_range, 7, "with", "nothing to find"});
    require_only(lesson("with = [\"open-wire cell=9 wire=S+\"]\n" + find + ""),
                 {ErrorKind::out_of_range, 7, "with", "cell=1 to 4"});
    require_only(lesson(ask + "what = \"weight\"\nload = { mass = 100, over = 9 }\n"),
                 {ErrorKind::out_of_range, 11, "over", "at most 4"});
    require_only(lesson(ask + "what = \"weight\"\nload = \"empty\"\nvalue = 3\n"),
                 {ErrorKind::unknown_key, 12, "value", "unknown key"});
    require_only(lesson("[[task]]\ndo = \"answer\"\ntext = \"f\"\nchoices = [\"a\", \"b\"]\nright = 3\n"),
                 {ErrorKind::out_of_range, 11, "right", "the number of the right answer"});
    require_only(lesson(ask + "what = \"weight\"\nload = \"empty\"\nhint = \"a\\u001bb\"\n"),
                 {ErrorKind::out_of_range, 12, "hint", "control characters"});
}

TEST_CASE("The course has about ten lessons that load", "[lesson]") {
    const auto paths = shipped();
    CHECK(paths.size() >= 10);
    std::set<std::string> names;
    for (const std::string& path : paths) {
        const LessonFile l = load(path);
        names.insert(l.name);
        CHECK_FALSE(l.tasks.empty());
    }
    CHECK(names.size() == paths.size());
}

// What a full sheet of this specimen and a look at arrow, colours and terminals of the cells concerned tell:
// the diagnosis knows nothing of the lesson.
TEST_CASE("Every cause that a lesson hides can be found from readings", "[lesson]") {
    for (const std::string& path : shipped()) {
        const LessonFile l = load(path);
        if (!l.hidden) continue;
        const scale::Description& d = l.scale.description;
        const field::SimulatedSheet made = field::simulate_sheet(d, l.faults, l.seed);
        const field::DiagnosedSheet answer =
            field::diagnose_sheet(d, made.sheet(), diagnosis::default_priors(d));
        REQUIRE_FALSE(answer.candidates.empty());
        const diagnosis::Candidate& first = answer.candidates.front();
        for (const scale::Fault& fault : l.faults) {
            bool found = false;
            for (const diagnosis::Candidate& c : answer.candidates) {
                const bool same_answer = &c == &first || (c.group >= 0 && c.group == first.group);
                if (!same_answer) continue;
                for (const scale::Fault* named : {&c.fault, &c.also})
                    found = found || (named->cause == fault.cause && named->site == fault.site);
            }
            INFO(path << " " << scale::name_of(fault.cause));
            CHECK(found);
        }
    }
}
