#include <spdlog/fmt/fmt.h>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <functional>
#include <map>
#include <regex>

#include "sim/field/fault_words.h"
#include "sim/files/lesson_file.h"
#include "sim/report/number_words.h"
#include "sim/training/lesson_round.h"

using namespace cornerbench;

namespace fs = std::filesystem;

namespace {

std::vector<std::string> shipped_lessons() {
    std::vector<std::string> paths;
    for (const auto& entry : fs::directory_iterator(CORNERBENCH_SOURCE_DIR "/configs/lessons")) {
        if (entry.path().extension() == ".toml") paths.push_back(entry.path().string());
    }
    std::sort(paths.begin(), paths.end());
    return paths;
}

/// What the lesson's own measuring tasks read, in their order.
std::vector<diagnosis::Reading> readings_asked_for(const files::LessonFile& lesson) {
    training::LessonRound round(lesson, {});
    std::vector<diagnosis::Reading> readings;
    for (const files::LessonTask& task : lesson.tasks) {
        if (task.deed != files::LessonDeed::measure) continue;
        const auto read = round.take(task.reading);
        REQUIRE(read);
        readings.push_back(*read);
    }
    return readings;
}

/// The number a choice begins with, or with "about" before it.
double number_of(const std::string& choice) {
    std::smatch found;
    REQUIRE(std::regex_search(choice, found, std::regex("[0-9]+(\\.[0-9]+)?")));
    return std::stod(found.str());
}

int nearest_choice(const std::vector<std::string>& choices, double value) {
    int nearest = 0;
    for (std::size_t i = 1; i < choices.size(); ++i) {
        const auto off = [&](std::size_t k) { return std::fabs(std::log(number_of(choices[k]) / value)); };
        if (off(i) < off(static_cast<std::size_t>(nearest))) nearest = static_cast<int>(i);
    }
    return nearest;
}

/// The right choice, from what the lesson has one read; by the lesson's file.
using Derived = std::function<int(const files::LessonFile&, const files::LessonTask&,
                                  const std::vector<diagnosis::Reading>&)>;

const std::map<std::string, Derived>& derivations() {
    static const std::map<std::string, Derived> all{
        {"01-one-bridge",
         [](const auto&, const auto& task, const auto& read) {
             const double growth_mV = 1000.0 * (read[1].value - read[0].value);
             const int choice = nearest_choice(task.choices, growth_mV);
             const double said = number_of(task.choices[static_cast<std::size_t>(choice)]);
             CHECK(std::fabs(growth_mV - said) < 0.05 * said);
             return choice;
         }},
        {"02-many-bridges-one-number",
         [](const auto& lesson, const auto& task, const auto& read) {
             // The weights are shown by the calibration: full scale of the mean is every cell's.
             const scale::Description& d = lesson.scale.description;
             const double all_kg = d.cells[0].capacity_kg * d.cell_count();
             const double mean_mV_per_V = 1000.0 * d.cells[0].rated_output_V_per_V * read[0].value / all_kg;
             return nearest_choice(task.choices, mean_mV_per_V);
         }},
        {"03-who-carries-what",
         [](const auto& lesson, const auto&, const auto& read) {
             const scale::Description& d = lesson.scale.description;
             const double per_kg = d.excitation_V * d.cells[0].rated_output_V_per_V / d.cells[0].capacity_kg;
             const double share = (read[1].value - read[2].value) / per_kg / read[1].load.standing[0].mass_kg;
             return share < 0.06 ? 0 : share < 0.18 ? 1 : 2;
         }},
        {"07-the-silent-cell",
         [](const auto&, const auto& task, const auto& read) {
             // The readings are E+ E-, S+ S-, E+ S+ and E+ S-: the broken wire is in all that have no end.
             const auto open = [&](std::size_t i) { return read[i].shown != diagnosis::Shown::value; };
             CHECK(!open(1));
             const std::string wire = !open(2) ? "" : open(3) ? "S+" : open(4) ? "S-" : "";
             for (std::size_t i = 0; i < task.choices.size(); ++i) {
                 if (task.choices[i] == wire) return static_cast<int>(i);
             }
             return -1;
         }},
    };
    return all;
}

}  // namespace

TEST_CASE("the right answer of a lesson's question follows from the readings that it asks for", "[lesson]") {
    int questions = 0;
    for (const std::string& path : shipped_lessons()) {
        CAPTURE(path);
        const auto loaded = files::load_lesson(path);
        REQUIRE(loaded);
        for (const files::LessonTask& task : loaded.value->tasks) {
            if (task.deed != files::LessonDeed::answer) continue;
            ++questions;
            const auto derived = derivations().find(fs::path(path).stem().string());
            REQUIRE(derived != derivations().end());
            CHECK(derived->second(*loaded.value, task, readings_asked_for(*loaded.value)) == task.right);
        }
    }
    CHECK(questions >= 4);
}

TEST_CASE("masses that a lesson complains of are on its sheet", "[lesson]") {
    // "more than 12 900 kg" and "9 700 kg and more" are what no other corner falls below.
    const std::regex mass("(more than )?(-?[0-9][0-9 ]*(\\.[0-9]+)?) (kg|t)\\b( and more)?");
    int numbers = 0;
    for (const std::string& path : shipped_lessons()) {
        const auto loaded = files::load_lesson(path);
        REQUIRE(loaded);
        const files::LessonFile& lesson = *loaded.value;
        if (lesson.faults.empty()) continue;
        training::LessonRound round(lesson, {});
        const report::MassWords words(lesson.scale.description);
        const auto& readings = round.drill().sheet().readings;
        for (std::sregex_iterator it(lesson.text.begin(), lesson.text.end(), mass), end; it != end; ++it) {
            std::string digits = (*it)[2];
            digits.erase(std::remove(digits.begin(), digits.end(), ' '), digits.end());
            const double kg = std::stod(digits) * ((*it)[4] == "t" ? 1000.0 : 1.0);
            CAPTURE(path, it->str());
            ++numbers;
            const bool least = (*it)[1].matched || (*it)[5].matched;
            int shown = 0;
            int no_less = 0;
            int loaded_places = 0;
            for (const diagnosis::Reading& r : readings) {
                for (int i = 0; i < r.load.count; ++i) {
                    if (std::fabs(r.load.standing[i].mass_kg - kg) < 0.5) ++shown;
                }
                if (std::fabs(r.value - kg) < 0.5 * words.division_kg()) ++shown;
                if (r.load.count == 0) continue;
                ++loaded_places;
                if (r.value > kg - 0.5 * words.division_kg()) ++no_less;
            }
            if (least) {
                CHECK(no_less == loaded_places - 1);
            } else {
                CHECK(shown > 0);
            }
        }
    }
    CHECK(numbers >= 6);
}

TEST_CASE("every task of the course has a hint", "[lesson]") {
    for (const std::string& path : shipped_lessons()) {
        const auto loaded = files::load_lesson(path);
        REQUIRE(loaded);
        for (const files::LessonTask& task : loaded.value->tasks) {
            CAPTURE(path, task.text);
            CHECK_FALSE(task.hint.empty());
        }
    }
}
