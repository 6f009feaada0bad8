#include "sim/field/fault_words.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <map>

#include <spdlog/fmt/fmt.h>

#include "sim/files/nearest_word.h"

namespace cornerbench::field {

using scale::Cause;
using scale::SiteKind;

namespace {

/// The key=value words after the cause, each to be taken once.
class Words {
  public:
    bool add(std::string_view word, std::string& error) {
        const std::size_t equals = word.find('=');
        if (equals == std::string_view::npos || equals == 0 || equals + 1 == word.size()) {
            error = fmt::format("'{}' is no key=value word, such as cell=5", word);
            return false;
        }
        const std::string key(word.substr(0, equals));
        if (!values_.emplace(key, word.substr(equals + 1)).second) {
            error = fmt::format("'{}' is given twice", key);
            return false;
        }
        return true;
    }

    std::optional<std::string> take(const std::string& key) {
        const auto found = values_.find(key);
        if (found == values_.end()) return std::nullopt;
        std::string value = found->second;
        values_.erase(found);
        return value;
    }

    std::string first_left() const { return values_.empty() ? "" : values_.begin()->first; }

    /// The first key that is not one of `keys`; empty when all are.
    std::string first_outside(const std::vector<std::string>& keys) const {
        for (const auto& [key, value] : values_) {
            if (std::find(keys.begin(), keys.end(), key) == keys.end()) return key;
        }
        return "";
    }

  private:
    std::map<std::string, std::string> values_;
};

std::string joined(const std::vector<std::string>& words, const char* between) {
    return fmt::format("{}", fmt::join(words, between));
}

std::vector<scale::Site> sites_of(const scale::Description& d, Cause cause) {
    std::vector<scale::Site> sites;
    for (int i = 0; i < scale::site_count(d, cause); ++i) sites.push_back(scale::site_at(d, cause, i));
    return sites;
}

/// What a place of this cause may be, for an error.
std::string valid_sites(const scale::Description& d, Cause cause) {
    const int n = d.cell_count();
    switch (scale::site_at(d, cause, 0).kind) {
        case SiteKind::cell_pair:
            return fmt::format("cells=A,B with two different numbers from 1 to {}", n);
        case SiteKind::support: {
            const std::string supports = fmt::format("support=1 to {}", n);
            return cause == Cause::rubbing ? supports + ", side=far|near or end=left|right" : supports;
        }
        case SiteKind::cell:
            return fmt::format("cell=1 to {}", n);
        default:
            return "no place";
    }
}

bool read_site(const scale::Description& d, Cause cause, Words& words, scale::Fault& fault,
               std::string& error) {
    const std::vector<scale::Site> sites = sites_of(d, cause);
    if (sites.front().kind == SiteKind::none) return true;
    std::vector<std::string> keys;
    for (const scale::Site& site : sites) {
        const std::string key(site_key(site));
        if (std::find(keys.begin(), keys.end(), key) == keys.end()) keys.push_back(key);
    }
    for (const std::string& key : keys) {
        const auto given = words.take(key);
        if (!given) continue;
        for (scale::Site site : sites) {
            if (site_key(site) != key) continue;
            if (*given == site_value(site)) {
                fault.site = site;
                return true;
            }
            if (site.kind != SiteKind::cell_pair) continue;
            std::swap(site.index, site.other);
            if (*given == site_value(site)) {
                std::swap(site.index, site.other);
                fault.site = site;
                return true;
            }
        }
        error = fmt::format("{}={} is no place on this scale; valid: {}", key, *given, valid_sites(d, cause));
        return false;
    }
    error = fmt::format("{} needs a place: {}", scale::name_of(cause), valid_sites(d, cause));
    return false;
}

bool read_variant(const scale::Description& d, Cause cause, Words& words, scale::Fault& fault,
                  std::string& error) {
    const std::string key(variant_key(cause));
    if (key.empty()) return true;
    std::vector<std::string> valid;
    const auto given = words.take(key);
    for (int i = 0; i < scale::variant_count(d, cause); ++i) {
        const scale::Variant variant = scale::variant_at(d, cause, i);
        const std::string value = variant_value(cause, variant);
        const std::size_t comma = value.find(',');
        const std::string turned =
            comma == std::string::npos ? value : value.substr(comma + 1) + "," + value.substr(0, comma);
        if (given && (*given == value || *given == turned)) {
            fault.variant = variant;
            return true;
        }
        valid.push_back(value);
    }
    const std::string choices = fmt::format("{}={}", key, joined(valid, " | "));
    error = given ? fmt::format("{}={} is no choice of {}; valid: {}", key, *given, scale::name_of(cause),
                                choices)
                  : fmt::format("{} needs {}", scale::name_of(cause), choices);
    return false;
}

bool read_magnitudes(const scale::Description& d, Cause cause, Words& words, scale::Fault& fault,
                     std::string& error) {
    const scale::Magnitudes magnitudes = scale::magnitudes_of(d, cause, fault.site);
    for (int i = 0; i < magnitudes.count; ++i) {
        const scale::Magnitude& m = magnitudes.of[static_cast<unsigned>(i)];
        const std::string valid =
            fmt::format("{} from {:.6g} to {:.6g}", m.name, m.low / m.si_per_unit, m.high / m.si_per_unit);
        const auto given = words.take(m.name);
        if (!given) {
            error = fmt::format("{} needs a size: {}", scale::name_of(cause), valid);
            return false;
        }
        double number = 0.0;
        const char* end = given->data() + given->size();
        const auto [stop, problem] = std::from_chars(given->data(), end, number);
        if (problem != std::errc() || stop != end || !std::isfinite(number)) {
            error = fmt::format("{}={} is no number; valid: {}", m.name, *given, valid);
            return false;
        }
        const double si = number * m.si_per_unit;
        const double slack = 1.0e-9 * (std::fabs(m.low) + std::fabs(m.high));
        if (si < m.low - slack || si > m.high + slack) {
            error = fmt::format("{}={} lies outside what {} can be here; valid: {}", m.name, *given,
                                scale::name_of(cause), valid);
            return false;
        }
        fault.magnitude[static_cast<unsigned>(i)] = std::clamp(si, m.low, m.high);
    }
    return true;
}

/// The longest that any fault is in words, with room for every digit that somebody may type.
constexpr std::size_t longest_words = 200;

/// True for what would move the cursor where an error repeats it: control characters, in ASCII and, as 0xc2
/// and a byte below 0xa0, in UTF-8.
bool has_control_character(std::string_view text) {
    unsigned char before = 0;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        const bool high = before == 0xc2 && byte >= 0x80 && byte < 0xa0;
        before = byte;
        if (high || (byte < 0x20 && c != '\t') || byte == 0x7f) return true;
    }
    return false;
}

/// Every key that words for this cause may hold.
std::vector<std::string> keys_of(const scale::Description& d, Cause cause) {
    std::vector<std::string> keys;
    const auto add = [&keys](std::string_view key) {
        if (!key.empty() && std::find(keys.begin(), keys.end(), key) == keys.end()) keys.emplace_back(key);
    };
    for (const scale::Site& site : sites_of(d, cause)) add(site_key(site));
    add(variant_key(cause));
    const scale::Magnitudes magnitudes = scale::magnitudes_of(d, cause, scale::site_at(d, cause, 0));
    for (int i = 0; i < magnitudes.count; ++i) add(magnitudes.of[static_cast<unsigned>(i)].name);
    return keys;
}

std::string valid_keys(const scale::Description& d, Cause cause) {
    const std::vector<std::string> keys = keys_of(d, cause);
    return keys.empty() ? "it takes none" : "it takes " + joined(keys, ", ");
}

}  // namespace

std::optional<Cause> find_cause(std::string_view name) {
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<Cause>(i);
        if (name == scale::name_of(cause)) return cause;
    }
    return std::nullopt;
}

std::vector<std::string_view> cause_names() {
    std::vector<std::string_view> names;
    for (int i = 0; i < scale::cause_count; ++i) names.emplace_back(scale::name_of(static_cast<Cause>(i)));
    return names;
}

std::string nearest_cause(std::string_view name) {
    return files::nearest_or_all(name, cause_names());
}

std::string_view site_key(const scale::Site& site) {
    switch (site.kind) {
        case SiteKind::cell:
            return "cell";
        case SiteKind::cell_pair:
            return "cells";
        case SiteKind::support:
            return "support";
        case SiteKind::far_side:
        case SiteKind::near_side:
            return "side";
        case SiteKind::left_end:
        case SiteKind::right_end:
            return "end";
        case SiteKind::none:
            break;
    }
    return {};
}

std::string site_value(const scale::Site& site) {
    switch (site.kind) {
        case SiteKind::cell:
        case SiteKind::support:
            return std::to_string(site.index + 1);
        case SiteKind::cell_pair:
            return std::to_string(site.index + 1) + "," + std::to_string(site.other + 1);
        case SiteKind::far_side:
            return "far";
        case SiteKind::near_side:
            return "near";
        case SiteKind::left_end:
            return "left";
        case SiteKind::right_end:
            return "right";
        case SiteKind::none:
            break;
    }
    return {};
}

std::string_view variant_key(Cause cause) {
    switch (cause) {
        case Cause::open_wire:
        case Cause::loose_terminal:
        case Cause::sense_open:
        case Cause::home_run_loose:
            return "wire";
        case Cause::crossed_pairs:
        case Cause::shorted_wires:
        case Cause::wet_leak:
            return "wires";
        case Cause::damaged_arm:
            return "arm";
        default:
            return {};
    }
}

std::string variant_value(Cause cause, const scale::Variant& variant) {
    const std::string_view key = variant_key(cause);
    if (key == "arm") return std::to_string(variant.arm + 1);
    if (key == "wires") return std::string(scale::name_of(variant.a)) + "," + scale::name_of(variant.b);
    if (cause == Cause::sense_open || cause == Cause::home_run_loose)
        return scale::name_of(variant.home_wire);
    if (variant.whole_cable) return "all";
    return key.empty() ? std::string() : std::string(scale::name_of(variant.a));
}

std::string why_impossible(const scale::Description& d, Cause cause) {
    if (scale::possible(d, cause)) return {};
    switch (cause) {
        case Cause::trim_off:
            return d.trim.kind == scale::TrimKind::signal_shunt
                       ? "a shunt trim without mixing resistors loads the whole bus and trims nothing"
                       : "its box has no trims";
        case Cause::altered_cable:
            return "its cells have no cable";
        case Cause::sense_open:
            return d.converter == scale::Converter::per_cell
                       ? "its box converts by itself and has no sense wires"
                       : "its home run has four wires and so no sense wires";
        case Cause::home_run_loose:
            return "its box converts by itself and has no analogue home run";
        default:
            return "this scale has no part where it could happen";
    }
}

std::string fault_words(const scale::Fault& fault, const scale::Description& description) {
    std::string words = scale::name_of(fault.cause);
    const auto add = [&words](std::string_view key, const std::string& value) {
        if (!key.empty()) words += fmt::format(" {}={}", key, value);
    };
    add(site_key(fault.site), site_value(fault.site));
    add(variant_key(fault.cause), variant_value(fault.cause, fault.variant));
    const scale::Magnitudes magnitudes = scale::magnitudes_of(description, fault.cause, fault.site);
    for (unsigned i = 0; i < static_cast<unsigned>(magnitudes.count); ++i) {
        const scale::Magnitude& m = magnitudes.of[i];
        add(m.name, fmt::format("{:.6g}", fault.magnitude[i] / m.si_per_unit));
    }
    return words;
}

ReadFault read_fault(std::string_view text, const scale::Description& description) {
    ReadFault read;
    if (text.size() > longest_words || has_control_character(text)) {
        read.error = "a cause with its place and size is a line of at most 200 printable characters";
        return read;
    }
    std::vector<std::string_view> pieces;
    while (!text.empty()) {
        const std::string_view piece = text.substr(0, text.find_first_of(" \t"));
        text.remove_prefix(std::min(text.size(), piece.size() + 1));
        if (!piece.empty()) pieces.push_back(piece);
    }
    if (pieces.empty()) {
        read.error = "the name of a cause is missing, as in loose-terminal cell=5 wire=S+ ohm=38";
        return read;
    }
    const auto cause = find_cause(pieces.front());
    if (!cause) {
        read.error = fmt::format("there is no cause '{}'; {}", pieces.front(), nearest_cause(pieces.front()));
        return read;
    }
    if (!scale::possible(description, *cause)) {
        read.error = fmt::format("this scale cannot have {}: {}", scale::name_of(*cause),
                                 why_impossible(description, *cause));
        return read;
    }
    Words words;
    for (std::size_t i = 1; i < pieces.size(); ++i) {
        if (!words.add(pieces[i], read.error)) return read;
    }
    // Before what is missing: a mistyped key leaves its place without a value.
    if (const std::string unknown = words.first_outside(keys_of(description, *cause)); !unknown.empty()) {
        read.error = fmt::format("{} has no '{}'; {}", scale::name_of(*cause), unknown,
                                 valid_keys(description, *cause));
        return read;
    }
    scale::Fault fault;
    fault.cause = *cause;
    if (!read_site(description, *cause, words, fault, read.error) ||
        !read_variant(description, *cause, words, fault, read.error) ||
        !read_magnitudes(description, *cause, words, fault, read.error)) {
        return read;
    }
    if (const std::string left = words.first_left(); !left.empty()) {
        read.error =
            fmt::format("{} has no '{}'; {}", scale::name_of(*cause), left, valid_keys(description, *cause));
        return read;
    }
    read.fault = fault;
    return read;
}

}  // namespace cornerbench::field
