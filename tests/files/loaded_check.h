#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/scale/numbering.h"
#include "sim/field/fault_words.h"
#include "sim/files/cell_standard_file.h"
#include "sim/files/lesson_file.h"
#include "sim/files/load_words.h"
#include "sim/files/priors_file.h"
#include "sim/files/scale_keys.h"
#include "sim/files/session_file.h"
#include "sim/files/sheet_file.h"
#include "sim/files/standard_file.h"
#include "tests/files/scale_text.h"
#include "tests/files/sheet_text.h"

/// What must hold of anything the loaders return, whatever the text: for fuzzing and for seeded mutations.
namespace cornerbench::files::testing {

inline bool is_printable(std::string_view text) {
    for (const char c : text) {
        if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) return false;
    }
    return true;
}

/// Empty when `loaded` says what is wrong, in lines that the text has, or else has a value.
template <class Value>
std::string error_violation(const Loaded<Value>& loaded, std::string_view text) {
    if (loaded.value.has_value() != loaded.errors.empty()) return "a value beside errors, or neither";
    int lines = 1;
    for (const char c : text) lines += c == '\n' ? 1 : 0;
    for (const auto* list : {&loaded.errors, &loaded.warnings}) {
        for (const FileError& error : *list) {
            if (error.message.empty()) return "an error without a message";
            if (error.spot.line < 0 || error.spot.line > lines) return "an error in a line that is not there";
            if (!is_printable(to_string(error))) return "an error that moves the cursor";
            if (error.message.size() > 1000) return "an error without end";
        }
    }
    return "";
}

/// Empty when every number of the scale is one the core can compute with.
inline std::string scale_violation(const ScaleFile& file) {
    const scale::Description& d = file.description;
    if (d.deck.sections < 2 || d.deck.sections > scale::max_sections) return "a number of sections";
    for (int i = 1; i < d.deck.sections; ++i) {
        const auto place = static_cast<std::size_t>(i);
        if (!(d.deck.section_x_m[place] > d.deck.section_x_m[place - 1])) return "sections out of order";
    }
    if (file.name.empty() || file.standard.empty() || file.accuracy_class.empty()) return "a text left out";
    if (!(d.gravity > 9.6 && d.gravity < 10.0)) return "gravity";
    if (!(d.division_kg < d.max_kg)) return "a division beyond max";
    for (int i = 0; i < d.cell_count(); ++i) {
        ScaleDraft draft;
        draft.file = file;
        draft.cell = d.cells[static_cast<std::size_t>(i)];
        for (const ScaleKey& key : scale_keys()) {
            if (key.field.get == nullptr || key.table == "gravity" || key.name == "number") continue;
            const double value = key.field.get(draft) / key.si_per_unit;
            const bool is_word = key.kind == KeyKind::choice;
            const bool untrimmed = key.table == "box.trim" && d.trim.kind == scale::TrimKind::none;
            if (is_word || untrimmed || key.kind == KeyKind::conductor) {
                if (!std::isfinite(value)) return "a number that is none: " + std::string(key.name);
                continue;
            }
            const Range wide{key.range.low - 1.0e-9 * std::fabs(key.range.low),
                             key.range.high + 1.0e-9 * std::fabs(key.range.high), key.range.or_zero};
            if (!wide.holds(value)) return "a number out of its range: " + std::string(key.name);
        }
        if (draft.cell.output_ohm > draft.cell.input_ohm) return "a bridge that cannot be";
        if (d.trim.kind != scale::TrimKind::none && draft.cell.trim_at > scale::trim_last_position(d.trim)) {
            return "a trim beyond its end";
        }
        if (d.trim.kind == scale::TrimKind::signal_shunt &&
            d.trim.fixed_ohm + scale::trim_variable_ohm(d.trim, draft.cell.trim_at) < 100.0) {
            return "a shunt that shorts the signal";
        }
    }
    return "";
}

inline std::string load_violation(const diagnosis::Load& load, const scale::Deck& deck) {
    if (load.count < 0 || load.count > diagnosis::max_standing) return "too much on the deck";
    const double right_m = deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)] + deck.overhang_m;
    for (int i = 0; i < load.count; ++i) {
        const diagnosis::Standing& standing = load.standing[static_cast<std::size_t>(i)];
        if (!(standing.mass_kg > 0.0 && standing.mass_kg <= 1.0e6)) return "a mass";
        if (!(standing.x_m >= deck.section_x_m[0] - deck.overhang_m && standing.x_m <= right_m))
            return "an x";
        if (!(standing.y_m >= 0.0 && standing.y_m <= deck.width_m)) return "a y";
    }
    return "";
}

/// Empty when every reading is one the core can judge.
inline std::string sheet_violation(const SheetFile& file) {
    if (file.notes.size() != file.readings.size()) return "a reading without a note";
    for (const ReadingNote& note : file.notes) {
        if (note.line < 1 || note.text.empty()) return "an empty note";
    }
    for (const diagnosis::Reading& reading : file.readings) {
        if (const auto load = load_violation(reading.load, file.scale.description.deck); !load.empty())
            return load;
        if (!std::isfinite(reading.value) || !(reading.uncertainty >= 0.0)) return "a value that is none";
        if (!std::isfinite(reading.uncertainty)) return "an uncertainty without end";
        if (!(reading.came_down_from > 1.0 && reading.came_down_from < 1.0e12)) return "a fall";
        if (reading.cell < 0 || reading.cell >= file.scale.description.cell_count()) return "a cell";
        if (reading.between_a == reading.between_b) return "one wire twice";
        if (!(reading.lifted_excitation_V >= 0.0 && reading.lifted_excitation_V <= 100.0))
            return "an excitation";
    }
    return "";
}

/// Reads `text` as a scale; empty when all of the above holds.
inline std::string scale_text_violation(std::string_view text) {
    const auto loaded = parse_scale(text, "fuzz.toml");
    if (auto violation = error_violation(loaded, text); !violation.empty()) return violation;
    return loaded ? scale_violation(*loaded.value) : "";
}

/// Reads `text` as a sheet on the tests' scale, without touching a disk.
inline std::string sheet_text_violation(std::string_view text) {
    static const SheetSources sources = sources_with(sheet_scale());
    const auto loaded = parse_sheet(text, "fuzz.toml", sources);
    if (auto violation = error_violation(loaded, text); !violation.empty()) return violation;
    return loaded ? sheet_violation(*loaded.value) : "";
}

inline std::string vehicle_text_violation(std::string_view text) {
    const auto loaded = parse_vehicle(text, "fuzz.toml");
    if (auto violation = error_violation(loaded, text); !violation.empty()) return violation;
    if (!loaded) return "";
    if (loaded.value->axles.empty()) return "a vehicle without axles";
    for (const Axle& axle : loaded.value->axles) {
        if (!(axle.mass_kg > 0.0 && axle.mass_kg < 1.1e5)) return "an axle's mass";
        if (!(axle.behind_front_m >= 0.0 && axle.behind_front_m < 400.0)) return "an axle's place";
    }
    return "";
}

/// Reads `text` as a session of the tests' scale; empty when every step is one that can be tried.
inline std::string session_text_violation(std::string_view text) {
    static const ScaleFile scale = *sheet_scale().load().value;
    static const SheetSources sources = sources_with(sheet_scale());
    const auto loaded = parse_session(text, "fuzz.toml", scale, sources);
    if (auto violation = error_violation(loaded, text); !violation.empty()) return violation;
    if (!loaded) return "";
    if (loaded.value->name.empty() || loaded.value->steps.empty()) return "a session of nothing";
    for (const Step& step : loaded.value->steps) {
        for (const double seconds : {step.seconds, step.grows_s, step.apart_s, step.on_s, step.off_s}) {
            if (!(seconds >= 0.0 && seconds <= 1.0e7)) return "a time";
        }
        const bool drives = step.deed == Deed::drive_on || step.deed == Deed::trucks;
        if (drives && step.vehicles.empty()) return "nothing that drives";
        if (!(step.speed_m_per_s > 0.0 && step.speed_m_per_s < 100.0)) return "a speed";
        if (step.front_axle_m && !std::isfinite(*step.front_axle_m)) return "a place to stop";
        if (step.deed == Deed::cause && step.cause_words.empty()) return "a cause without words";
        if (step.deed == Deed::corner_round && !(step.mass_kg > 0.0)) return "a round without a weight";
        if (step.deed == Deed::trucks && step.count < 1) return "no trucks";
        if (auto violation = load_violation(step.load.load, scale.description.deck); !violation.empty())
            return violation;
    }
    return "";
}

/// Reads `text` as a lesson on the tests' scale; empty when every task is one that can be asked.
inline std::string lesson_text_violation(std::string_view text) {
    static const SheetSources sources = sources_with(sheet_scale());
    const auto loaded = parse_lesson(text, "fuzz.toml", sources);
    if (auto violation = error_violation(loaded, text); !violation.empty()) return violation;
    if (!loaded) return "";
    const LessonFile& lesson = *loaded.value;
    if (lesson.name.empty() || lesson.text.empty() || lesson.learned.empty()) return "a text left out";
    if (lesson.tasks.empty()) return "a lesson of nothing";
    for (const scale::Fault& fault : lesson.faults) {
        if (!scale::possible(lesson.scale.description, fault.cause)) return "a cause it cannot have";
    }
    for (const LessonTask& task : lesson.tasks) {
        if (task.text.empty()) return "a task without words";
        if (task.deed == LessonDeed::find && lesson.faults.empty()) return "nothing to find";
        const auto choices = static_cast<int>(task.choices.size());
        const bool asks = task.deed == LessonDeed::answer;
        if (asks && (choices < 2 || task.right < 0 || task.right >= choices)) return "an answer";
        if (!(task.within_divisions > 0.0)) return "a limit";
        if (task.deed == LessonDeed::measure && task.reading_text.empty()) return "a reading without words";
        const scale::Deck& deck = lesson.scale.description.deck;
        if (auto violation = load_violation(task.reading.load, deck); !violation.empty()) return violation;
        if (task.reading.cell < 0 || task.reading.cell >= lesson.scale.description.cell_count())
            return "a cell";
    }
    return "";
}

/// Reads `text` as priors for the tests' scale.
inline std::string priors_text_violation(std::string_view text) {
    static const scale::Description d = sheet_scale().load().value->description;
    const auto loaded = parse_priors(text, "fuzz.toml", d);
    if (auto violation = error_violation(loaded, text); !violation.empty()) return violation;
    if (!loaded) return "";
    double sum = 0.0;
    for (int c = 0; c < scale::cause_count; ++c) {
        const double share = (*loaded.value)[static_cast<std::size_t>(c)];
        if (!(share >= 0.0 && share <= 1.0)) return "a probability that is none";
        if (share > 0.0 && !scale::possible(d, static_cast<scale::Cause>(c))) return "a cause it cannot have";
        sum += share;
    }
    return std::fabs(sum - 1.0) < 1.0e-9 ? "" : "probabilities that do not sum to 1";
}

/// Reads `text` as a standard of load cells; empty when every limit is one that a cell can be held against.
inline std::string cell_standard_text_violation(std::string_view text) {
    const auto loaded = parse_cell_standard(text, "fuzz.toml");
    if (auto violation = error_violation(loaded, text); !violation.empty()) return violation;
    if (!loaded) return "";
    const CellStandard& standard = *loaded.value;
    if (standard.name.empty() || standard.edition.empty()) return "a standard without name or edition";
    if (standard.classes.empty()) return "a standard without classes";
    if (!(standard.least_share > 0.0 && standard.usual_share <= standard.most_share)) return "a share";
    if (!(standard.creep_limit_errors > 0.0 && standard.late_limit_errors > 0.0)) return "a limit of creep";
    for (const CellClass& each : standard.classes) {
        if (each.name.empty() || each.clause.empty()) return "a class without name or clause";
        for (const double load : {1.0, 500.0, 501.0, 2000.0, 1.0e4, 1.0e6}) {
            const double limit = scale::limit_divisions(each.limits, load);
            if (!(limit > 0.0 && limit < 1.0e9)) return "a limit that is none";
        }
    }
    return "";
}

/// Reads `text` as a standard; empty when every limit is one that an error can be held against.
inline std::string standard_text_violation(std::string_view text) {
    const auto loaded = parse_standard(text, "fuzz.toml");
    if (auto violation = error_violation(loaded, text); !violation.empty()) return violation;
    if (!loaded) return "";
    const Standard& standard = *loaded.value;
    if (standard.name.empty() || standard.edition.empty()) return "a standard without name or edition";
    if (standard.classes.empty()) return "a standard without classes";
    for (const StageRule& stage : standard.stages) {
        if (!(stage.factor > 0.0 && stage.factor < 1.0e3)) return "a factor";
    }
    const double corner_kg = scale::corner_test_kg(standard.corner_rule, 6.0e4, 8);
    if (!(corner_kg > 0.0 && corner_kg <= 6.0e4)) return "a corner test without load";
    for (const AccuracyClass& each : standard.classes) {
        if (each.name.empty() || each.clause.empty()) return "a class without name or clause";
        double before = 0.0;
        for (const double load : {1.0, 500.0, 501.0, 2000.0, 1.0e4, 1.0e6}) {
            const double limit = standard.limit_divisions(each.name, Stage::service, load);
            if (!(limit > 0.0 && limit < 1.0e9)) return "a limit that is none";
            before = limit;
        }
        if (!(before > 0.0)) return "a limit of nothing";
    }
    return "";
}

/// Reads `words` as a fault of the tests' scale: an error that leaves the cursor where it is, or a fault that
/// this scale can have and that reads back as itself.
inline std::string fault_words_violation(std::string_view words) {
    static const scale::Description d = sheet_scale().load().value->description;
    const field::ReadFault read = field::read_fault(words, d);
    if (read.fault.has_value() != read.error.empty()) return "a fault beside an error, or neither";
    if (!is_printable(read.error)) return "an error that moves the cursor";
    if (read.error.size() > 2000) return "an error without end";
    if (!read.fault) return "";
    const scale::Fault& fault = *read.fault;
    if (!scale::possible(d, fault.cause)) return "a cause it cannot have";
    const scale::Magnitudes m = scale::magnitudes_of(d, fault.cause, fault.site);
    for (std::size_t i = 0; i < static_cast<std::size_t>(m.count); ++i) {
        const double size = fault.magnitude[i];
        if (!(size >= m.of[i].low && size <= m.of[i].high)) return "a size out of its range";
    }
    const field::ReadFault again = field::read_fault(field::fault_words(fault, d), d);
    if (!again.fault) return "words that do not read back: " + again.error;
    const bool same = again.fault->cause == fault.cause && again.fault->site == fault.site &&
                      again.fault->variant == fault.variant;
    return same ? "" : "words that read back as another fault";
}

/// Reads every line of `words` as a load of its own on the tests' scale, all of them standing there together,
/// as a command line hands them over.
inline std::string load_words_violation(std::string_view words) {
    static const ScaleFile scale = *sheet_scale().load().value;
    static const SheetSources sources = sources_with(sheet_scale());
    std::vector<std::string> each;
    for (std::size_t begin = 0; begin <= words.size();) {
        const std::size_t end = std::min(words.find('\n', begin), words.size());
        each.emplace_back(words.substr(begin, end - begin));
        begin = end + 1;
    }
    const auto loaded = read_load_words(each, scale, sources);
    if (auto violation = error_violation(loaded, words); !violation.empty()) return violation;
    if (!loaded) return "";
    if (loaded.value->text.empty() || !is_printable(loaded.value->text)) return "a load without words";
    return load_violation(loaded.value->load, scale.description.deck);
}

}  // namespace cornerbench::files::testing
