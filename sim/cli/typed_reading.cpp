#include "sim/cli/typed_reading.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <limits>
#include <sstream>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/field/places.h"
#include "sim/field/read_number.h"
#include "sim/files/mass_unit.h"
#include "sim/files/sheet_keys.h"
#include "sim/files/shown_words.h"

namespace cornerbench::cli {

using diagnosis::Direction;
using diagnosis::ExcitationPlace;
using diagnosis::Look;
using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::Shown;

namespace {

/// The unit in which a value is typed when none is given, and others that may stand behind it.
struct Units {
    std::string usual;
    std::vector<std::pair<std::string, double>> si_per;
};

Units units_of(const Reading& r, const scale::Description& d) {
    Units units;
    for (const files::ValueKey& key : files::value_keys()) {
        const bool ratio = r.quantity == Quantity::channel || (r.quantity == Quantity::signal && r.is_ratio);
        if (key.quantity != r.quantity || key.is_ratio != ratio || key.at_least) continue;
        if (key.unit.empty())
            units.si_per.emplace_back(std::string(files::unit_name(d.unit)), scale::kilograms_in(d.unit));
        else
            units.si_per.emplace_back(std::string(key.unit), key.si_per_unit);
    }
    if (!units.si_per.empty()) units.usual = units.si_per.front().first;
    return units;
}

std::string joined(const std::vector<std::pair<std::string, double>>& units) {
    std::string text;
    for (const auto& [name, factor] : units) text += (text.empty() ? "" : " or ") + name;
    return text;
}

/// "S+ S-", with "exchanged" or not behind them; else says what would be valid.
std::optional<std::string> take_exchanged(const std::string& words, diagnosis::Reading& r) {
    std::istringstream in(words);
    std::array<std::string, 2> names;
    std::string rest;
    in >> names[0] >> names[1] >> rest;
    std::array<int, 2> wires{-1, -1};
    for (std::size_t i = 0; i < wires.size(); ++i) {
        for (int w = 0; w < scale::live_wire_count; ++w)
            if (names[i] == scale::name_of(static_cast<scale::Wire>(w))) wires[i] = w;
    }
    const bool well = wires[0] >= 0 && wires[1] >= 0 && wires[0] != wires[1];
    if (!well || !(rest.empty() || rest == "exchanged")) {
        return "valid: 'ok' when they are as they should be, the two of E+ E- S+ S- that stand exchanged, "
               "such as 'S+ S-', else 'not'";
    }
    r.as_it_should_be = false;
    r.exchanged = true;
    r.between_a = static_cast<scale::Wire>(wires[0]);
    r.between_b = static_cast<scale::Wire>(wires[1]);
    return std::nullopt;
}

using Words = std::vector<std::string>;

/// Takes the first word off where it is `expected`.
bool takes(Words& words, std::string_view expected) {
    if (words.empty() || words.front() != expected) return false;
    words.erase(words.begin());
    return true;
}

/// Takes off a number from 1 to `most`; counts from 0.
std::optional<int> take_index(Words& words, int most) {
    if (words.empty()) return std::nullopt;
    const auto number = field::read_number<int>(words.front());
    if (!number || *number < 1 || *number > most) return std::nullopt;
    words.erase(words.begin());
    return *number - 1;
}

std::optional<std::string> take_cell(Words& words, const scale::Description& d, Reading& r) {
    const auto cell = take_index(words, d.cell_count());
    if (!cell) return fmt::format("valid: a cell's number, 1 to {}, behind what was read", d.cell_count());
    r.cell = *cell;
    return std::nullopt;
}

std::optional<std::string> take_load(Words& words, const scale::Description& d, Reading& r) {
    const std::string valid = fmt::format(
        "valid: 'empty', or a load in {} and where it stands: 'over' a support, 1 to {}, or "
        "'section' 1 to {}; then 'increasing', 'decreasing' or 'returned'",
        files::unit_name(d.unit), d.cell_count(), d.deck.sections);
    if (!takes(words, "empty")) {
        const auto mass = words.empty() ? std::nullopt : field::read_number<double>(words.front());
        if (!mass || !(*mass > 0.0)) return valid;
        words.erase(words.begin());
        const bool over = takes(words, "over");
        if (!over && !takes(words, "section")) return valid;
        const auto at = take_index(words, over ? d.cell_count() : d.deck.sections);
        if (!at) return valid;
        const field::Place place = over ? field::over_support(d.deck, *at) : field::over_section(d.deck, *at);
        r.load.count = 1;
        r.load.standing[0] = {*mass * scale::kilograms_in(d.unit), place.x_m, place.y_m};
    }
    if (takes(words, "increasing")) r.direction = Direction::increasing;
    if (takes(words, "decreasing")) r.direction = Direction::decreasing;
    if (takes(words, "returned")) r.direction = Direction::returned;
    return std::nullopt;
}

std::optional<std::string> take_wires(Words& words, Reading& r) {
    for (scale::Wire* wire : {&r.between_a, &r.between_b}) {
        bool found = false;
        for (int w = 0; w < scale::wire_count && !found; ++w) {
            found = takes(words, scale::name_of(static_cast<scale::Wire>(w)));
            if (found) *wire = static_cast<scale::Wire>(w);
        }
        if (!found) return "valid: two different wires of E+, E-, S+, S- and shield, such as 'E+ S-'";
    }
    return std::nullopt;
}

std::optional<std::string> take_look(Words& words, const scale::Description& d, Reading& r) {
    std::string all;
    for (const std::string_view look : files::look_words)
        all += (all.empty() ? "" : ", ") + std::string(look);
    std::string text;
    for (std::size_t n = 0; n < words.size(); ++n) {
        text += (n > 0 ? " " : "") + words[n];
        const auto known = std::find(files::look_words.begin(), files::look_words.end(), text);
        if (known == files::look_words.end()) continue;
        r.look = static_cast<Look>(known - files::look_words.begin());
        words.erase(words.begin(), words.begin() + static_cast<std::ptrdiff_t>(n) + 1);
        return r.look == Look::end_gap ? std::nullopt : take_cell(words, d, r);
    }
    return "valid: one of " + all + ", and the cell's number";
}

std::optional<std::string> take_excitation_place(Words& words, const scale::Description& d, Reading& r) {
    r.place = ExcitationPlace::box;
    if (takes(words, "box")) return std::nullopt;
    r.place = ExcitationPlace::indicator;
    if (takes(words, "indicator")) return std::nullopt;
    r.place = ExcitationPlace::cell;
    if (take_cell(words, d, r)) return "valid: 'box', 'indicator' or a cell's number";
    return std::nullopt;
}

}  // namespace

/// Takes off a sign or words before a number that say "or more"; false without.
bool take_at_least(std::string& words) {
    for (const std::string_view sign : {">=", ">", "at least"}) {
        if (!words.starts_with(sign)) continue;
        words.erase(0, sign.size());
        words.erase(0, std::min(words.find_first_not_of(' '), words.size()));
        return true;
    }
    return false;
}

std::string usual_unit(const Reading& r, const scale::Description& d) {
    return units_of(r, d).usual;
}

std::optional<std::string> take_value(const std::string& typed, const scale::Description& d, Reading& r) {
    std::string words = typed;
    if (r.quantity == Quantity::inspection) {
        if (words == "ok" || words == "as it should be") {
            r.as_it_should_be = true;
        } else if (words == "not" || words == "not as it should be") {
            r.as_it_should_be = false;
        } else if (r.look == Look::wire_colours) {
            return take_exchanged(words, r);
        } else {
            return "valid: 'ok' when it is as it should be, else 'not'";
        }
        return std::nullopt;
    }
    for (const Shown shown : {Shown::over_range, Shown::under_range, Shown::blank}) {
        if (words != files::word_of(shown)) continue;
        r.shown = shown;
        return std::nullopt;
    }
    const Units units = units_of(r, d);
    const std::string valid =
        fmt::format("valid: a number in {}{}, or what the display shows instead", joined(units.si_per),
                    r.quantity == Quantity::resistance
                        ? ", such as '>500 Mohm' where the meter ends there, or inf for no path"
                        : "");
    const bool at_least = r.quantity == Quantity::resistance && take_at_least(words);
    double value = 0.0;
    const char* begin = words.data();
    const char* end = begin + words.size();
    if (begin != end && *begin == '+') ++begin;
    const auto [rest, error] = std::from_chars(begin, end, value);
    if (words.find(',') != std::string::npos)
        return "a comma in '" + words + "': decimals stand behind a point, and thousands are not set apart";
    if (error != std::errc()) return valid;
    std::string unit(rest, end);
    unit.erase(0, std::min(unit.find_first_not_of(' '), unit.size()));
    for (const auto& [name, factor] : units.si_per) {
        if (unit != name && !(unit.empty() && name == units.usual)) continue;
        const bool endless = value == std::numeric_limits<double>::infinity();
        if (at_least && (endless || !(value > 0.0))) return valid;
        if (endless && r.quantity == Quantity::resistance) {
            r.shown = Shown::over_range;
            return std::nullopt;
        }
        if (at_least) r.shown = Shown::at_least;
        r.value = value * factor;
        return std::nullopt;
    }
    return valid;
}

std::optional<std::string> typed_place(const std::string& text, const scale::Description& d, Reading& r) {
    std::istringstream in(text);
    Words words;
    for (std::string word; in >> word;) words.push_back(word);
    std::string all;
    bool known = false;
    for (std::size_t q = 0; q < files::quantity_words.size() && !known; ++q) {
        all += (q > 0 ? ", " : "") + std::string(files::quantity_words[q]);
        known = takes(words, files::quantity_words[q]);
        if (known) r.quantity = static_cast<Quantity>(q);
    }
    if (!known) return "valid before '=': a reading that begins with one of " + all + "; '?' for examples";
    std::optional<std::string> why;
    switch (r.quantity) {
        case Quantity::weight:
            why = take_load(words, d, r);
            if (!why && r.load.count == 0 && takes(words, "zero")) {
                r.zero_set = takes(words, "set");
                if (!r.zero_set) why = "valid behind 'empty': 'zero set' where zero was set then";
            }
            break;
        case Quantity::signal:
            why = take_cell(words, d, r);
            r.connected = takes(words, "connected");
            takes(words, "lifted");
            if (!why) why = take_load(words, d, r);
            break;
        case Quantity::resistance:
            why = take_cell(words, d, r);
            if (!why) why = take_wires(words, r);
            break;
        case Quantity::excitation:
            why = take_excitation_place(words, d, r);
            break;
        case Quantity::inspection:
            why = take_look(words, d, r);
            break;
        case Quantity::channel:
            why = take_cell(words, d, r);
            if (!why) why = take_load(words, d, r);
            break;
    }
    if (!why && !words.empty()) why = "'" + words.front() + "' is too much there: '?' for examples";
    return why;
}

}  // namespace cornerbench::cli
