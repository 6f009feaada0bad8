#include "sim/files/lesson_file.h"

#include <filesystem>
#include <optional>

#include "sim/field/fault_words.h"
#include "sim/files/file_kind.h"
#include "sim/files/named_scale.h"
#include "sim/files/sheet_keys.h"
#include "sim/files/sheet_reading.h"
#include "sim/files/table_view.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

/// A page of text. It goes to terminals as it stands, so it may not move their cursor.
constexpr std::size_t longest_prose = 4000;
constexpr Range seed_range{0.0, 4'294'967'295.0};
constexpr Range within_range{0.1, 100.0};

bool is_prose(const std::string& text) {
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if ((byte < 0x20 && c != '\n') || byte == 0x7f) return false;
    }
    return true;
}

std::string read_prose(const TableView& view, std::string_view key, bool needed) {
    const toml::node* node = view.node(key);
    if (node == nullptr) {
        if (needed) view.missing(key, "text in quotes, of any number of lines between \"\"\" and \"\"\"");
        return {};
    }
    const auto text = node->as_string();
    if (text == nullptr) {
        view.error(ErrorKind::wrong_type, key, "must be text in quotes");
        return {};
    }
    if (text->get().empty() || text->get().size() > longest_prose) {
        view.error(ErrorKind::out_of_range, key,
                   "must be text of 1 to " + std::to_string(longest_prose) + " bytes");
        return {};
    }
    if (!is_prose(text->get())) {
        view.error(ErrorKind::out_of_range, key, "must hold no control characters but ends of lines");
        return {};
    }
    return text->get();
}

/// The texts of the list under `key`, each read as a line of 1 to 200 bytes.
std::vector<std::string> read_lines(const TableView& view, std::string_view key, std::size_t most,
                                    const std::string& valid) {
    std::vector<std::string> lines;
    const toml::array* list = view.node(key)->as_array();
    if (list == nullptr || list->empty() || list->size() > most) {
        view.error(ErrorKind::wrong_type, key, "must be " + valid);
        return lines;
    }
    for (const toml::node& element : *list) {
        const auto text = element.as_string();
        const bool fits = text != nullptr && !text->get().empty() && text->get().size() <= 200 &&
                          text->get().find('\n') == std::string::npos && is_prose(text->get());
        if (fits) {
            lines.push_back(text->get());
            continue;
        }
        view.findings().error(ErrorKind::wrong_type, spot_of(element, view.spot(key).key),
                              "must be " + valid + ", each one line of 1 to 200 bytes");
    }
    return lines;
}

void read_faults(const TableView& root, const ScaleFile* scale, LessonFile& lesson) {
    if (!root.has("with")) return;
    const std::string valid =
        "a list of one or two causes as --with takes them, such as "
        "[\"loose-terminal cell=5 wire=S+ ohm=38\"]";
    const auto words = read_lines(root, "with", most_lesson_faults, valid);
    if (scale == nullptr) return;
    for (const std::string& each : words) {
        const field::ReadFault read = field::read_fault(each, scale->description);
        const bool is_fault = read.fault && read.fault->cause != scale::Cause::healthy &&
                              read.fault->cause != scale::Cause::unlisted;
        if (is_fault) {
            lesson.faults.push_back(*read.fault);
            continue;
        }
        root.error(ErrorKind::out_of_range, "with",
                   read.fault ? "'" + each +
                                    "' is nothing to find: must be left out, or be a cause that "
                                    "'cornerbench causes' lists"
                              : read.error);
    }
}

class TaskReader {
  public:
    TaskReader(const TableView& view, const ScaleFile* scale, const SheetSources& sources,
               bool something_to_find)
        : view_(view), scale_(scale), sources_(sources), something_to_find_(something_to_find) {}

    std::optional<LessonTask> read();

  private:
    std::vector<std::string_view> keys_of_deed() const;
    void read_measure();
    void read_answer();
    void check_find() const;
    void read_trim();

    const TableView& view_;
    const ScaleFile* scale_;
    const SheetSources& sources_;
    bool something_to_find_ = false;
    LessonTask task_;
};

std::vector<std::string_view> TaskReader::keys_of_deed() const {
    switch (task_.deed) {
        case LessonDeed::measure: {
            // Without a quantity every key of some reading may be right.
            std::vector<std::string_view> keys;
            for (std::size_t q = 0; q < quantity_words.size(); ++q) {
                const toml::node* what = view_.node("what");
                const auto word = what != nullptr ? what->value<std::string_view>() : std::nullopt;
                if (word && *word != quantity_words[q]) continue;
                const auto more = asked_reading_keys(static_cast<diagnosis::Quantity>(q));
                keys.insert(keys.end(), more.begin(), more.end());
            }
            return keys;
        }
        case LessonDeed::answer:
            return {"choices", "right"};
        case LessonDeed::find:
            return {};
        case LessonDeed::trim:
            return {"within_d"};
    }
    return {};
}

void TaskReader::read_measure() {
    const auto asked = read_asked_reading(view_, scale_, sources_);
    if (!asked) return;
    task_.reading = asked->reading;
    task_.reading_text = asked->note.text;
}

void TaskReader::read_answer() {
    const std::string valid = "a list of two to " + std::to_string(most_lesson_choices) + " answers";
    if (!view_.has("choices")) {
        view_.missing("choices", valid);
        return;
    }
    task_.choices = read_lines(view_, "choices", most_lesson_choices, valid);
    if (task_.choices.size() == 1) view_.error(ErrorKind::out_of_range, "choices", "must be " + valid);
    const Range range{1.0, static_cast<double>(task_.choices.size())};
    const std::string right = "the number of the right answer, from 1 on";
    if (!view_.has("right")) view_.missing("right", right);
    if (const auto number = view_.integer("right", range, right)) task_.right = static_cast<int>(*number) - 1;
}

void TaskReader::check_find() const {
    if (!something_to_find_)
        view_.error(ErrorKind::impossible, "do",
                    "there is nothing to find: must have with = [...] at the top of the lesson");
}

void TaskReader::read_trim() {
    task_.within_divisions =
        view_.number("within_d", within_range, range_text(within_range, "divisions")).value_or(1.0);
    if (scale_ == nullptr) return;
    const scale::Description& d = scale_->description;
    if (d.converter == scale::Converter::per_cell || d.trim.kind == scale::TrimKind::none)
        view_.error(ErrorKind::impossible, "do",
                    "this scale has no trims to turn: must be another task, or another scale");
}

std::optional<LessonTask> TaskReader::read() {
    const auto deed = view_.choice("do", lesson_deed_words);
    if (!deed) {
        if (!view_.has("do")) view_.missing("do", one_of(lesson_deed_words));
        return std::nullopt;
    }
    task_.deed = static_cast<LessonDeed>(*deed);
    task_.line = view_.spot("do").line;
    std::vector<std::string_view> known = keys_of_deed();
    known.insert(known.end(), {"do", "text", "hint"});
    view_.unknown_keys(known);
    task_.text = read_prose(view_, "text", true);
    task_.hint = read_prose(view_, "hint", false);
    switch (task_.deed) {
        case LessonDeed::measure:
            read_measure();
            break;
        case LessonDeed::answer:
            read_answer();
            break;
        case LessonDeed::find:
            check_find();
            break;
        case LessonDeed::trim:
            read_trim();
            break;
    }
    return task_;
}

LessonFile lesson_of(const toml::table& table, const SheetSources& sources, Findings& findings) {
    const TableView root(table, "", Spot{}, findings);
    root.unknown_keys(names_of(lesson_keys(), ""));
    LessonFile lesson;
    lesson.path = findings.file();
    if (!root.has("name")) root.missing("name", "text in quotes");
    lesson.name = root.text("name").value_or("");
    lesson.text = read_prose(root, "text", true);
    lesson.learned = read_prose(root, "learned", true);
    auto scale = read_named_scale(root, sources, "lesson");
    const ScaleFile* usable = nullptr;
    if (scale) {
        lesson.scale = std::move(*scale);
        usable = &lesson.scale;
    }
    if (const auto seed = root.integer("seed", seed_range, range_text(seed_range, "")))
        lesson.seed = static_cast<std::uint64_t>(*seed);
    read_faults(root, usable, lesson);
    lesson.hidden = root.flag("hidden").value_or(false);
    const auto tasks = root.tables("task");
    if (!root.has("task")) root.missing("task", "a list of tables, each begun by [[task]]");
    if (tasks.size() > static_cast<std::size_t>(most_lesson_tasks)) {
        root.error(ErrorKind::out_of_range, "task",
                   "has " + std::to_string(tasks.size()) + " tasks: must be at most " +
                       std::to_string(most_lesson_tasks));
        return lesson;
    }
    for (const TableView& view : tasks) {
        if (auto task = TaskReader(view, usable, sources, root.has("with")).read())
            lesson.tasks.push_back(std::move(*task));
    }
    return lesson;
}

Loaded<LessonFile> loaded_of(std::string_view text, const SheetSources& sources, Findings& findings) {
    LessonFile lesson;
    const auto root = parse_text(text, findings);
    if (root && !is_other_kind(*root, FileKind::lesson, findings))
        lesson = lesson_of(*root, sources, findings);
    return findings.result(std::move(lesson));
}

}  // namespace

const std::vector<PlainKey>& lesson_keys() {
    static const std::vector<PlainKey> keys{
        {"", "name", "what the lesson is called; required"},
        {"", "scale", "path of a scale file, from this lesson's folder; required"},
        {"", "seed",
         "which specimen of the scale, every part somewhere in its tolerance; default 1; " +
             range_text(seed_range, "")},
        {"", "with",
         "what is wrong with it: a list of one or two causes as --with takes them; default: nothing"},
        {"", "hidden", "true: the learner is not told what is wrong; default false"},
        {"", "text",
         "what to know beforehand, and what is complained of: 1 to 4000 bytes, blank lines between "
         "paragraphs; required"},
        {"", "learned", "what to take along, shown when every task is done; as text; required"},
        {"", "task",
         "what to do, in order, each begun by [[task]]; at most " + std::to_string(most_lesson_tasks)},
        {"task", "do",
         one_of(lesson_deed_words) +
             ": take one reading; choose an answer; name every cause that `with` has, with its place; turn "
             "the trims until the corners show the same; required"},
        {"task", "text", "what to do, in words; required"},
        {"task", "hint", "for who is stuck"},
        {"task", "what",
         "measure: the reading to take; with it load, cell, between, at, connected and all other keys of a "
         "sheet's reading but its value ('cornerbench keys sheet')"},
        {"task", "choices", "answer: a list of two to " + std::to_string(most_lesson_choices) + " answers"},
        {"task", "right", "answer: the number of the right one, from 1 on"},
        {"task", "within_d",
         "trim: how far apart the test weight may show over the supports; default 1; " +
             range_text(within_range, "divisions")}};
    return keys;
}

std::string lesson_keys_text() {
    return "At the top of the file\n" + entries_of(lesson_keys(), "") + "\n[[task]]\n" +
           entries_of(lesson_keys(), "task");
}

Loaded<LessonFile> load_lesson(const std::string& path) {
    Findings findings(path);
    const auto text = read_text(path, findings);
    if (!text) return findings.result(LessonFile{});
    return loaded_of(*text, sources_beside(std::filesystem::path(path).parent_path().string()), findings);
}

Loaded<LessonFile> parse_lesson(std::string_view text, const std::string& path, const SheetSources& sources) {
    Findings findings(path);
    return loaded_of(text, sources, findings);
}

}  // namespace cornerbench::files
