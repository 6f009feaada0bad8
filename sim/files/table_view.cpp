#include "sim/files/table_view.h"

#include <cmath>
#include <cstddef>

#include "sim/files/nearest_word.h"

namespace cornerbench::files {

namespace {

constexpr std::size_t longest_text = 200;
constexpr std::size_t longest_shown = 60;

/// Cut between characters, so that what is shown stays valid UTF-8.
std::string shortened(std::string_view text, std::size_t longest) {
    if (text.size() <= longest) return std::string(text);
    std::size_t end = longest;
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xc0) == 0x80) --end;
    return std::string(text.substr(0, end)) + "...";
}

std::string shown_scalar(const toml::node& node) {
    if (const auto text = node.as_string()) return '"' + shortened(text->get(), longest_shown) + '"';
    if (const auto whole = node.as_integer()) return std::to_string(whole->get());
    if (const auto number = node.as_floating_point()) return number_text(number->get());
    if (const auto flag = node.as_boolean()) return flag->get() ? "true" : "false";
    if (node.is_array()) return "a list";
    if (node.is_table()) return "a table";
    return "a date or time";
}

std::string shown(const toml::node& node) {
    const auto list = node.as_array();
    if (list == nullptr) return shown_scalar(node);
    std::string out;
    for (const toml::node& element : *list) {
        if (out.size() > longest_shown) break;
        out += (out.empty() ? "[" : ", ") + shown_scalar(element);
    }
    return out.empty() ? "[]" : shortened(out, longest_shown) + "]";
}

/// "name, unit or axle".
std::string listed(const std::vector<std::string_view>& words) {
    std::string out;
    for (std::size_t i = 0; i < words.size(); ++i) {
        out += (i == 0 ? "" : i + 1 == words.size() ? " or " : ", ") + std::string(words[i]);
    }
    return out;
}

Spot placed(const toml::source_position& position, std::string key, std::string given) {
    return {static_cast<int>(position.line), static_cast<int>(position.column), std::move(key),
            std::move(given)};
}

}  // namespace

Spot spot_of(const toml::node& node, std::string key) {
    return placed(node.source().begin, std::move(key), shown(node));
}

std::optional<double> read_number(const toml::node& node, const Spot& spot, const Range& range,
                                  const std::string& valid, Findings& findings) {
    double number = 0.0;
    if (const auto floating = node.as_floating_point()) {
        number = floating->get();
    } else if (const auto whole = node.as_integer()) {
        number = static_cast<double>(whole->get());
    } else {
        findings.error(ErrorKind::wrong_type, spot, "must be a number, " + valid);
        return std::nullopt;
    }
    if (!std::isfinite(number)) {
        findings.error(ErrorKind::out_of_range, spot, "must be a finite number, " + valid);
        return std::nullopt;
    }
    if (!range.holds(number)) {
        findings.error(ErrorKind::out_of_range, spot, "must be " + valid);
        return std::nullopt;
    }
    return number == 0.0 ? 0.0 : number;  // no negative zero
}

Spot TableView::spot(std::string_view key) const {
    const auto found = table_->find(key);
    const std::string name = label_ + std::string(key);
    if (found == table_->cend()) return {header_.line, header_.column, name, ""};
    return placed(found->first.source().begin, label_ + shortened(key, longest_shown), shown(found->second));
}

void TableView::error(ErrorKind kind, std::string_view key, std::string message) const {
    findings_->error(kind, spot(key), std::move(message));
}

void TableView::missing(std::string_view key, const std::string& valid) const {
    error(ErrorKind::missing_key, key, "missing, and has no default: must be " + valid);
}

std::optional<double> TableView::number(std::string_view key, const Range& range,
                                        const std::string& valid) const {
    const toml::node* found = node(key);
    if (found == nullptr) return std::nullopt;
    return read_number(*found, spot(key), range, valid, *findings_);
}

std::optional<std::int64_t> TableView::integer(std::string_view key, const Range& range,
                                               const std::string& valid) const {
    const toml::node* found = node(key);
    if (found == nullptr) return std::nullopt;
    const auto whole = found->as_integer();
    if (whole == nullptr) {
        error(ErrorKind::wrong_type, key, "must be a whole number, " + valid);
        return std::nullopt;
    }
    if (!range.holds(static_cast<double>(whole->get()))) {
        error(ErrorKind::out_of_range, key, "must be " + valid);
        return std::nullopt;
    }
    return whole->get();
}

std::optional<std::string> TableView::text(std::string_view key) const {
    const toml::node* found = node(key);
    if (found == nullptr) return std::nullopt;
    const auto text = found->as_string();
    if (text == nullptr) {
        error(ErrorKind::wrong_type, key, "must be text in quotes");
        return std::nullopt;
    }
    if (text->get().empty() || text->get().size() > longest_text) {
        error(ErrorKind::out_of_range, key, "must be text of 1 to 200 bytes");
        return std::nullopt;
    }
    return text->get();
}

std::optional<int> TableView::choice(std::string_view key, std::span<const std::string_view> words) const {
    const toml::node* found = node(key);
    if (found == nullptr) return std::nullopt;
    const auto text = found->as_string();
    if (text == nullptr) {
        error(ErrorKind::wrong_type, key, "must be text, " + one_of(words));
        return std::nullopt;
    }
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (text->get() == words[i]) return static_cast<int>(i);
    }
    std::string message = "must be " + one_of(words);
    const auto nearest = nearest_word(text->get(), {words.begin(), words.end()});
    if (!nearest.empty()) message += "; nearest is \"" + std::string(nearest) + '"';
    error(ErrorKind::out_of_range, key, message);
    return std::nullopt;
}

std::optional<bool> TableView::flag(std::string_view key) const {
    const toml::node* found = node(key);
    if (found == nullptr) return std::nullopt;
    if (const auto flag = found->as_boolean()) return flag->get();
    error(ErrorKind::wrong_type, key, "must be true or false");
    return std::nullopt;
}

std::optional<TableView> TableView::table(std::string_view key, const std::string& sub_label,
                                          const std::string& valid) const {
    const toml::node* found = node(key);
    if (found == nullptr) return std::nullopt;
    if (const auto sub = found->as_table()) {
        Spot at = spot(key);
        // A table under its own header is placed at the header, one in braces at its key.
        if (!sub->is_inline()) at = spot_of(*found, at.key);
        return TableView(*sub, sub_label, at, *findings_);
    }
    error(ErrorKind::wrong_type, key, "must be " + valid);
    return std::nullopt;
}

std::vector<TableView> TableView::tables(std::string_view key) const {
    std::vector<TableView> all;
    const toml::node* found = node(key);
    if (found == nullptr) return all;
    const std::string name = "[[" + std::string(key) + "]]";
    const auto list = found->as_array();
    if (list == nullptr) {
        error(ErrorKind::wrong_type, key, "must be a list of tables, each begun by " + name);
        return all;
    }
    int number = 0;
    for (const toml::node& element : *list) {
        const std::string label = name + " #" + std::to_string(++number);
        Spot at = spot_of(element, label);
        if (const auto sub = element.as_table()) {
            at.given.clear();
            all.emplace_back(*sub, label + " ", at, *findings_);
        } else {
            findings_->error(ErrorKind::wrong_type, at, "must be a table of keys, begun by " + name);
        }
    }
    return all;
}

void TableView::unknown_keys(const std::vector<std::string_view>& known,
                             std::string (*elsewhere)(std::string_view key)) const {
    for (const auto& [key, value] : *table_) {
        bool is_known = false;
        for (const std::string_view name : known) is_known = is_known || key.str() == name;
        if (is_known) continue;
        const std::string_view nearest = nearest_word(key.str(), known);
        const std::string place = elsewhere != nullptr ? elsewhere(key.str()) : "";
        std::string message = "unknown key";
        if (!nearest.empty()) message += "; nearest is " + std::string(nearest);
        if (!place.empty()) message += "; " + std::string(key.str()) + " belongs to " + place;
        if (nearest.empty() && place.empty()) message += ": must be " + listed(known);
        error(ErrorKind::unknown_key, key.str(), message);
    }
}

std::string one_of(std::span<const std::string_view> words) {
    std::string out = "one of ";
    for (std::size_t i = 0; i < words.size(); ++i) {
        out += (i == 0 ? "\"" : ", \"") + std::string(words[i]) + '"';
    }
    return out;
}

}  // namespace cornerbench::files
