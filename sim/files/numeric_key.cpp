#include "sim/files/numeric_key.h"

#include <algorithm>
#include <cmath>

#include "sim/field/read_number.h"
#include "sim/files/mass_unit.h"
#include "sim/files/nearest_word.h"

namespace cornerbench::files {

namespace {

bool holds_number(const ScaleKey& key) {
    return key.kind != KeyKind::text && key.kind != KeyKind::choice &&
           !(key.table == "cells" && key.name == "number");
}

std::string path_of(const ScaleKey& key) {
    return (key.table.empty() ? "" : std::string(key.table) + ".") + std::string(key.name);
}

std::vector<std::string> parts_of(std::string_view path) {
    std::vector<std::string> parts(1);
    for (const char c : path) {
        if (c == '.') {
            parts.emplace_back();
        } else {
            parts.back() += c;
        }
    }
    return parts;
}

/// The number that a part of a path is; 0 for anything else.
int number_in(const std::string& part) {
    return std::max(0, field::read_number<int>(part).value_or(0));
}

toml::table& table_under(toml::table& parent, std::string_view name) {
    if (parent.get(name) == nullptr) parent.insert(name, toml::table{});
    toml::table* table = parent.get(name)->as_table();
    return table != nullptr ? *table : parent;
}

toml::table* cell_table(toml::table& root, int number) {
    if (root.get("cells") == nullptr) root.insert("cells", toml::array{});
    toml::array* cells = root.get("cells")->as_array();
    if (cells == nullptr) return nullptr;
    for (toml::node& node : *cells) {
        toml::table* cell = node.as_table();
        if (cell != nullptr && (*cell)["number"].value<std::int64_t>() == number) return cell;
    }
    cells->push_back(toml::table{{"number", std::int64_t{number}}});
    return cells->back().as_table();
}

void put(const ScaleKey& key, double value, toml::table& table) {
    const bool whole = std::fabs(value) < 1.0e15 && value == std::floor(value);
    if (key.kind == KeyKind::conductor) {
        table.insert_or_assign(key.name, number_text(value) + " mm2");
    } else if (key.kind == KeyKind::integer && whole) {
        table.insert_or_assign(key.name, static_cast<std::int64_t>(value));
    } else {
        table.insert_or_assign(key.name, value);
    }
}

}  // namespace

std::string NumericKey::unit(scale::MassUnit mass) const {
    if (key->kind == KeyKind::mass) return std::string(unit_name(mass));
    if (key->kind == KeyKind::conductor) return "mm2";
    return std::string(key->unit);
}

std::optional<NumericKey> find_numeric_key(std::string_view path) {
    std::vector<std::string> parts = parts_of(path);
    NumericKey found{std::string(path), nullptr, 0, 0};
    if (parts.size() == 3 && (parts[0] == "cell" || parts[0] == "cells")) {
        found.cell = number_in(parts[1]);
        if (found.cell == 0) return std::nullopt;
        parts.erase(parts.begin() + 1);
    }
    if (parts.size() == 3 && parts[0] == "deck") {
        found.element = number_in(parts[2]);
        if (found.element == 0) return std::nullopt;
        parts.pop_back();
    }
    const std::string& name = parts.back();
    std::string table;
    for (std::size_t i = 0; i + 1 < parts.size(); ++i) table += (i == 0 ? "" : ".") + parts[i];
    for (const ScaleKey& key : scale_keys()) {
        if (key.name != name || !holds_number(key)) continue;
        const bool of_one = found.cell > 0 && (key.table == "cell" || key.table == "cells");
        const bool of_all = found.cell == 0 && key.table == table && table != "cells";
        const bool list = key.kind == KeyKind::positions;
        if ((!of_one && !of_all) || list != (found.element > 0)) continue;
        found.key = &key;
        return found;
    }
    return std::nullopt;
}

std::string nearest_numeric_key(std::string_view path) {
    std::vector<std::string> paths;
    for (const ScaleKey& key : scale_keys()) {
        if (!holds_number(key)) continue;
        if (key.kind == KeyKind::positions) {
            paths.push_back(path_of(key) + ".1");
        } else if (key.table != "cells") {
            paths.push_back(path_of(key));
        }
        if (key.table == "cell" || key.table == "cells") paths.push_back("cell.1." + std::string(key.name));
    }
    const std::string_view near = nearest_word(path, {paths.begin(), paths.end()});
    // A key without its table is the likeliest slip of all.
    const auto name_in = [](std::string_view known) { return known.substr(known.rfind('.') + 1); };
    std::vector<std::string_view> names;
    for (const std::string& known : paths) names.push_back(name_in(known));
    const std::string_view bare = path.find('.') == std::string_view::npos ? nearest_word(path, names) : "";
    std::string same;
    for (const std::string& known : paths)
        if (!bare.empty() && name_in(known) == bare) same += (same.empty() ? "" : " or ") + known;
    if (!same.empty()) return "nearest: " + same;
    return near.empty() ? std::string() : "nearest: " + std::string(near);
}

void put_number(const NumericKey& key, double value, toml::table& root) {
    if (key.cell > 0) {
        if (toml::table* cell = cell_table(root, key.cell)) put(*key.key, value, *cell);
        return;
    }
    toml::table* table = &root;
    if (!key.key->table.empty())
        for (const std::string& part : parts_of(key.key->table)) table = &table_under(*table, part);
    if (key.element == 0) {
        put(*key.key, value, *table);
        return;
    }
    toml::node* list = table->get(key.key->name);
    toml::array* places = list != nullptr ? list->as_array() : nullptr;
    const auto at = static_cast<std::size_t>(key.element - 1);
    if (places != nullptr && at < places->size()) places->replace(places->cbegin() + key.element - 1, value);
}

}  // namespace cornerbench::files
