#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/causes.h"
#include "sim/files/file_error.h"
#include "sim/files/key_text.h"
#include "sim/files/scale_file.h"
#include "sim/files/sheet_file.h"

/// A lesson: a scale, what is wrong with it, and something to do that can be checked.
///
///     name = "A cell with its wires exchanged"
///     scale = "../scales/sawmill-4.toml"
///     seed = 3
///     with = ["signal-pair-swapped cell=2"]
///     hidden = true
///     text = """What to know beforehand, and what is complained of."""
///     learned = """What to take along."""
///     [[task]]
///     do = "find"
///     text = "Find out what is wrong, and where."
namespace cornerbench::files {

/// What a task asks for. The words of the file, in this order.
enum class LessonDeed : unsigned char {
    measure,  ///< take one reading
    answer,   ///< choose the right one of several answers
    find,     ///< name every cause that is there, with its place
    trim      ///< turn the trims until the corners show the same
};

inline constexpr std::string_view lesson_deed_words[] = {"measure", "answer", "find", "trim"};

/// One task. Which members count depends on `deed`; the others stay as they are.
struct LessonTask {
    LessonDeed deed = LessonDeed::measure;
    int line = 0;                      ///< of `do`
    std::string text;                  ///< what to do
    std::string hint;                  ///< for who is stuck; may be empty
    diagnosis::Reading reading;        ///< measure: the one to take, without its value
    std::string reading_text;          ///< the same in words, such as "signal of cell 3, lifted, empty"
    std::vector<std::string> choices;  ///< answer: at least two
    int right = 0;                     ///< answer: index of the right one
    /// Trim: the largest spread, in divisions, of what the test weight shows over the supports.
    double within_divisions = 1.0;
};

inline constexpr int most_lesson_tasks = 20;
inline constexpr int most_lesson_choices = 6;
/// Two at once are what `diagnose` looks for as well.
inline constexpr int most_lesson_faults = 2;

/// A lesson as its file says it, with its scale already read.
struct LessonFile {
    std::string path;
    std::string name;
    std::string text;
    std::string learned;
    ScaleFile scale;
    std::uint64_t seed = 1;  ///< which specimen of the scale
    std::vector<scale::Fault> faults;
    bool hidden = false;  ///< the learner is not told of the faults
    std::vector<LessonTask> tasks;
};

/// Every key of a lesson; those of "task" stand under each [[task]].
const std::vector<PlainKey>& lesson_keys();
std::string lesson_keys_text();

/// Reads the lesson at `path` and the scale that it names. All errors at once.
Loaded<LessonFile> load_lesson(const std::string& path);
Loaded<LessonFile> parse_lesson(std::string_view text, const std::string& path, const SheetSources& sources);

}  // namespace cornerbench::files
