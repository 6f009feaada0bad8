#include "sim/files/scale_reader.h"

#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

#include "sim/files/conductor.h"
#include "sim/files/scale_checks.h"

namespace cornerbench::files {

namespace {

constexpr std::string_view tables_by_header[] = {"finer", "finest", "deck",     "support",   "cell",
                                                 "cable", "box",    "home_run", "indicator", "certificates"};

/// Name of the table that holds table `table`, and the key it stands under there.
std::string_view parent_of(std::string_view table) {
    const std::size_t dot = table.rfind('.');
    return dot == std::string_view::npos ? "" : table.substr(0, dot);
}

std::string_view last_part(std::string_view table) {
    const std::size_t dot = table.rfind('.');
    return dot == std::string_view::npos ? table : table.substr(dot + 1);
}

void add_known(std::string_view table, std::vector<std::string_view>& known) {
    for (const ScaleKey& key : scale_keys()) {
        const std::string_view sub = last_part(key.table);
        if (key.table == table) {
            known.push_back(key.name);
        } else if (!key.table.empty() && parent_of(key.table) == table &&
                   (known.empty() || known.back() != sub)) {
            known.push_back(sub);
        }
    }
}

std::vector<std::string_view> known_keys(std::string_view table) {
    std::vector<std::string_view> known;
    add_known(table, known);
    if (table == "cells") add_known("cell", known);
    return known;
}

bool is_cell_number(const ScaleKey& key) {
    return key.table == "cells" && key.name == "number";
}

/// The tables that have a key `name`, for one that stands elsewhere; empty when none has.
std::string tables_that_have(std::string_view name) {
    std::string out;
    for (const ScaleKey& key : scale_keys()) {
        if (key.name != name) continue;
        std::string label = table_label(key.table);
        if (label.empty()) return "the top of the file, before the first [table]";
        label.pop_back();
        out += (out.empty() ? "" : " or ") + label;
    }
    return out;
}

std::string keys_in_braces(std::string_view table) {
    std::string out = "a table of keys: {";
    const char* separator = " ";
    for (const std::string_view name : known_keys(table)) {
        out += separator + std::string(name);
        separator = ", ";
    }
    return out + " }";
}

}  // namespace

bool KeyRecord::given(const std::string& path) const {
    const auto found = entries_.find(path);
    return found != entries_.end() && found->second.given;
}

bool KeyRecord::usable(const std::string& path) const {
    const auto found = entries_.find(path);
    return found == entries_.end() || !found->second.failed;
}

Spot KeyRecord::spot(const std::string& path) const {
    const auto found = entries_.find(path);
    if (found != entries_.end()) return found->second.spot;
    const std::string_view table = parent_of(path);
    return {0, 0, table_label(table) + std::string(last_part(path)), ""};
}

Spot KeyRecord::cell_spot(int number, const std::string& key) const {
    const std::string own = "cells." + std::to_string(number) + "." + key;
    return spot(given(own) ? own : "cell." + key);
}

std::string key_path(std::string_view table, std::string_view key) {
    return table.empty() ? std::string(key) : std::string(table) + "." + std::string(key);
}

std::string table_label(std::string_view table) {
    if (table.empty()) return "";
    if (table == "gravity") return "gravity.";
    if (table == "cells") return "[[cells]] ";
    const std::size_t dot = table.find('.');
    if (dot == std::string_view::npos) return "[" + std::string(table) + "] ";
    return "[" + std::string(table.substr(0, dot)) + "] " + std::string(table.substr(dot + 1)) + ".";
}

void ScaleReader::read(ScaleDraft& draft, KeyRecord& record) {
    draft_ = &draft;
    record_ = &record;
    read_table("", root_, "", Missing::reported);
    read_subtable("gravity", root_, "gravity");
    for (const std::string_view table : tables_by_header) read_subtable(table, root_, std::string(table));
    root_.unknown_keys(known_keys(""), &tables_that_have);
    settle_gravity(draft, record, *findings_);
    settle_trim(draft, record, *findings_);
    read_cells();
}

void ScaleReader::read_table(std::string_view table, const TableView& view, const std::string& record_as,
                             Missing missing) {
    for (const ScaleKey& key : scale_keys()) {
        if (key.table == table) read_key(key, view, record_as, missing);
    }
}

void ScaleReader::read_key(const ScaleKey& key, const TableView& view, const std::string& record_as,
                           Missing missing) {
    KeyRecord::Entry entry{view.spot(key.name), view.has(key.name), false};
    if (entry.given) {
        entry.failed = !read_value(key, view);
    } else if (key.required && missing == Missing::reported) {
        entry.failed = true;
        view.missing(key.name, valid_text(key, draft_->file.description.unit));
    }
    record_->set(key_path(record_as, key.name), entry);
}

bool ScaleReader::read_value(const ScaleKey& key, const TableView& view) {
    const scale::MassUnit unit = draft_->file.description.unit;
    const std::string valid = valid_text(key, unit);
    std::optional<double> si;
    switch (key.kind) {
        case KeyKind::text: {
            const auto text = view.text(key.name);
            if (text) key.field.text(*draft_) = *text;
            return text.has_value();
        }
        case KeyKind::positions:
            return read_sections(key, view);
        case KeyKind::choice: {
            const auto words = words_of(key);
            const auto index = view.choice(key.name, words);
            if (index && key.field.text != nullptr) {
                key.field.text(*draft_) = std::string(words[static_cast<std::size_t>(*index)]);
                return true;
            }
            if (index) si = *index;
            break;
        }
        case KeyKind::integer: {
            const auto whole = view.integer(key.name, key.range, valid);
            bool fits = whole.has_value();
            if (const auto words = words_of(key); fits && !words.empty()) {
                fits = false;
                for (const auto word : words) fits = fits || std::to_string(*whole) == word;
                if (!fits) view.error(ErrorKind::out_of_range, key.name, "must be " + valid);
            }
            if (fits) si = static_cast<double>(*whole);
            break;
        }
        case KeyKind::conductor: {
            const auto text = view.text(key.name);
            if (!text) return false;
            si = parse_conductor(*text);
            if (!si) view.error(ErrorKind::out_of_range, key.name, "must be " + valid);
            break;
        }
        case KeyKind::mass: {
            const double kg = scale::kilograms_in(unit);
            const Range in_unit{key.range.low / kg, key.range.high / kg, key.range.or_zero};
            if (const auto mass = view.number(key.name, in_unit, valid)) si = *mass * kg;
            break;
        }
        case KeyKind::number:
            if (const auto value = view.number(key.name, key.range, valid)) si = *value * key.si_per_unit;
            break;
    }
    if (si) key.field.set(*draft_, *si);
    return si.has_value();
}

bool ScaleReader::read_sections(const ScaleKey& key, const TableView& view) {
    const std::string valid = valid_text(key);
    const toml::array* list = view.node(key.name)->as_array();
    if (list == nullptr) {
        view.error(ErrorKind::wrong_type, key.name, "must be a list of " + valid);
        return false;
    }
    if (list->size() < 2 || list->size() > static_cast<std::size_t>(scale::max_sections)) {
        view.error(ErrorKind::out_of_range, key.name,
                   "has " + std::to_string(list->size()) + " section lines, must be " + valid);
        return false;
    }
    bool good = true;
    std::vector<double> places;
    for (const toml::node& node : *list) {
        const Spot spot = spot_of(node, view.label() + std::string(key.name));
        const auto x = read_number(node, spot, key.range, range_text(key.range, key.unit), *findings_);
        if (!x) {
            good = false;
            continue;
        }
        if (!places.empty() && *x - places.back() < least_section_distance_m) {
            findings_->error(ErrorKind::impossible, spot,
                             "section lines must run from left to right: must be at least " +
                                 number_text(places.back() + least_section_distance_m) + " (m), after " +
                                 number_text(places.back()));
            good = false;
        }
        places.push_back(*x);
    }
    if (!good) return false;
    scale::Deck& deck = draft_->file.description.deck;
    deck.sections = static_cast<int>(places.size());
    for (std::size_t i = 0; i < places.size(); ++i) deck.section_x_m[i] = places[i];
    return true;
}

void ScaleReader::report_absent(std::string_view table) {
    for (const ScaleKey& key : scale_keys()) {
        if (key.table != table || !key.required || table == "box.trim") continue;
        Spot spot{0, 0, table_label(table) + std::string(key.name), ""};
        record_->set(key_path(table, key.name), {spot, false, true});
        findings_->error(
            ErrorKind::missing_key, spot,
            "missing, and has no default: must be " + valid_text(key, draft_->file.description.unit));
    }
}

void ScaleReader::read_subtable(std::string_view table, const TableView& parent,
                                const std::string& record_as) {
    const std::string_view name = last_part(table);
    // A list entry's own label stays in front: "[[cells]] #2 colours.".
    const bool in_cells = record_as.starts_with("cells.");
    const std::string label = in_cells ? parent.label() + std::string(name) + "." : table_label(table);
    const auto view = parent.table(name, label, keys_in_braces(table));
    record_->set(record_as, {parent.spot(name), parent.has(name), parent.has(name) && !view});
    if (!view) {
        if (!parent.has(name)) report_absent(table);
        return;
    }
    read_table(table, *view, record_as, Missing::reported);
    view->unknown_keys(known_keys(table), &tables_that_have);
    if (table == "cell") read_subtable("cell.colours", *view, "cell.colours");
    if (table == "box") read_subtable("box.trim", *view, "box.trim");
}

void ScaleReader::read_cells() {
    scale::Description& description = draft_->file.description;
    const scale::Cell every_cell = draft_->cell;
    const WireColours every_colours = draft_->colours;
    const bool sections_known = description.deck.sections > 0;
    const int cells = sections_known ? description.cell_count() : scale::max_cells;
    for (int i = 0; i < cells; ++i) {
        description.cells[static_cast<std::size_t>(i)] = every_cell;
        draft_->file.colours[static_cast<std::size_t>(i)] = every_colours;
    }

    std::array<int, scale::max_cells + 1> line_of_number{};
    for (const TableView& view : root_.tables("cells")) {
        draft_->cell = every_cell;
        draft_->colours = every_colours;
        draft_->cell_number = 0;
        for (const ScaleKey& key : scale_keys()) {
            if (is_cell_number(key)) read_key(key, view, "cells.0", Missing::reported);
        }
        const int number = draft_->cell_number;
        int& earlier = line_of_number[static_cast<std::size_t>(number)];
        const bool accepted = number > 0 && number <= cells && earlier == 0;
        if (number > cells) {
            view.error(
                ErrorKind::impossible, "number",
                "this scale has " + std::to_string(cells) + " cells: must be 1 to " + std::to_string(cells));
        } else if (number > 0 && !accepted) {
            view.error(ErrorKind::impossible, "number",
                       "cell " + std::to_string(number) + " is already given in line " +
                           std::to_string(earlier) + ": must be another");
        }
        const std::string record_as = "cells." + std::to_string(accepted ? number : 0);
        for (const ScaleKey& key : scale_keys()) {
            if (key.table == "cell" || (key.table == "cells" && !is_cell_number(key))) {
                read_key(key, view, record_as, Missing::allowed);
            }
        }
        read_subtable("cell.colours", view, record_as + ".colours");
        view.unknown_keys(known_keys("cells"), &tables_that_have);
        if (!accepted) continue;
        earlier = view.spot("number").line;
        description.cells[static_cast<std::size_t>(number - 1)] = draft_->cell;
        draft_->file.colours[static_cast<std::size_t>(number - 1)] = draft_->colours;
    }
}

}  // namespace cornerbench::files
