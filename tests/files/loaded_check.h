#pragma once

#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>

#include "firmware/scale/numbering.h"
#include "sim/files/scale_keys.h"
#include "sim/files/sheet_file.h"
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

}  // namespace cornerbench::files::testing
