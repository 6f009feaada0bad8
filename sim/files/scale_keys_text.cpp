#include <cstddef>

#include "sim/files/conductor.h"
#include "sim/files/key_text.h"
#include "sim/files/mass_unit.h"
#include "sim/files/range.h"
#include "sim/files/scale_keys.h"
#include "sim/files/table_view.h"

namespace cornerbench::files {

namespace {

std::string quoted(std::string_view word) {
    return '"' + std::string(word) + '"';
}

std::string heading(std::string_view table) {
    if (table.empty()) return "At the top of the file";
    if (table == "cells") return "[[cells]], overriding [cell] for one cell";
    if (table == "gravity") return "gravity = { ... }, required";
    const std::size_t dot = table.find('.');
    if (dot == std::string_view::npos) return "[" + std::string(table) + "]";
    return "[" + std::string(table.substr(0, dot)) + "] " + std::string(table.substr(dot + 1)) + " = { ... }";
}

}  // namespace

std::vector<std::string_view> words_of(const ScaleKey& key) {
    std::vector<std::string_view> words;
    for (const std::string_view word : key.words) {
        if (!word.empty()) words.push_back(word);
    }
    return words;
}

std::string default_text(const ScaleKey& key) {
    if (!key.default_note.empty()) return std::string(key.default_note);
    if (key.required) return "required";
    if (key.field.get == nullptr) return "none";
    const double value = key.field.get(ScaleDraft{});
    switch (key.kind) {
        case KeyKind::choice:
            return quoted(key.words[static_cast<std::size_t>(value)]);
        case KeyKind::conductor:
            return quoted(number_text(value) + " mm2");
        default:
            return number_text(value / key.si_per_unit);
    }
}

std::string meaning_text(const ScaleKey& key) {
    std::string text(key.meaning);
    if (key.in_time_only) {
        text += "; counts only where time passes: corners, sheet, trim, trial and diagnose leave it out";
    }
    return text;
}

std::string valid_text(const ScaleKey& key, scale::MassUnit unit) {
    switch (key.kind) {
        case KeyKind::choice:
            return one_of(words_of(key));
        case KeyKind::text:
            return "text of 1 to 200 bytes";
        case KeyKind::conductor:
            return "such as \"22 AWG\" or \"0.5 mm2\", " + number_text(least_conductor_mm2) + " to " +
                   number_text(largest_conductor_mm2) + " mm2";
        case KeyKind::positions:
            return "2 to " + std::to_string(scale::max_sections) + " numbers, each at least " +
                   number_text(least_section_distance_m) + " m beyond the one before, " +
                   range_text(key.range, key.unit);
        case KeyKind::mass: {
            const double kg = scale::kilograms_in(unit);
            return range_text({key.range.low / kg, key.range.high / kg, key.range.or_zero}, unit_name(unit));
        }
        case KeyKind::integer:
            if (const auto words = words_of(key); !words.empty()) {
                return std::string(words.front()) + " or " + std::string(words.back());
            }
            return range_text(key.range, key.unit);
        case KeyKind::number:
            break;
    }
    return range_text(key.range, key.unit);
}

std::string scale_keys_text() {
    std::string out;
    const ScaleKey* before = nullptr;
    for (const ScaleKey& key : scale_keys()) {
        if (before == nullptr || before->table != key.table) {
            out += (before == nullptr ? "" : "\n") + heading(key.table) + "\n";
        }
        before = &key;
        out += wrapped_key(std::string(key.name) + ": " + meaning_text(key));
        const std::string fallback = default_text(key);
        const std::string label = fallback.starts_with("required") ? fallback : "default " + fallback;
        out += wrapped(label + "; " + valid_text(key), 6, 6);
    }
    return out;
}

}  // namespace cornerbench::files
