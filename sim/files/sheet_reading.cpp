#include "sim/files/sheet_reading.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <span>
#include <vector>

#include "sim/files/mass_unit.h"
#include "sim/files/reading_text.h"
#include "sim/files/sheet_keys.h"
#include "sim/files/sheet_load.h"
#include "sim/files/shown_words.h"
#include "sim/files/wire_list.h"

namespace cornerbench::files {

namespace {

using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::Shown;

constexpr std::array<std::string_view, 2> place_words{"box", "indicator"};
constexpr std::array<std::string_view, 2> found_words{"as it should be", "not"};
constexpr std::array<std::string_view, scale::wire_count> wire_words{"E+", "E-", "S+", "S-", "shield"};
constexpr double least_uncertainty = 1.0e-9;
/// Smallest part by which a load comes down.
constexpr double least_fall = 1.0e-6;

bool has_load(Quantity quantity) {
    return quantity == Quantity::weight || quantity == Quantity::signal || quantity == Quantity::channel;
}

/// Words that a quantity's display can show: a hand meter that shows nothing is off, and only what has a sign
/// falls below its range.
std::size_t shown_word_count(Quantity quantity) {
    if (quantity == Quantity::weight || quantity == Quantity::channel) return 3;
    return quantity == Quantity::signal ? 2 : 1;
}

class ReadingReader {
  public:
    ReadingReader(const TableView& view, const ScaleFile* scale, const SheetSources& sources,
                  Quantity quantity, bool asked)
        : view_(view), scale_(scale), sources_(sources), asked_(asked) {
        reading_.quantity = quantity;
    }

    void read();
    const Reading& reading() const { return reading_; }
    std::string text() const { return reading_text(reading_, load_text_); }

  private:
    /// Index of a word that must be given.
    std::optional<int> required_word(std::string_view key, std::span<const std::string_view> words);

    void read_load_keys();
    void read_direction();
    void read_from();
    void check_load() const;
    void read_cell(std::string_view key);
    void read_between();
    void read_excitation_place();
    void read_connection();
    void read_exchanged();
    void read_inspection();
    void read_value();
    void read_number_value(const ValueKey& key);
    double unit_factor(const ValueKey& key) const;
    std::string unit_text(const ValueKey& key) const;

    const TableView& view_;
    const ScaleFile* scale_;
    const SheetSources& sources_;
    bool asked_ = false;  ///< to be taken: it has no value yet
    Reading reading_;
    std::string load_text_ = "empty";
    bool load_is_known_ = true;
};

std::optional<int> ReadingReader::required_word(std::string_view key,
                                                std::span<const std::string_view> words) {
    if (!view_.has(key)) view_.missing(key, one_of(words));
    return view_.choice(key, words);
}

void ReadingReader::read() {
    if (!asked_) view_.unknown_keys(reading_keys(reading_.quantity), &quantities_that_have);
    switch (reading_.quantity) {
        case Quantity::weight:
            break;
        case Quantity::signal:
            read_cell("cell");
            read_connection();
            break;
        case Quantity::resistance:
            read_cell("cell");
            read_between();
            break;
        case Quantity::excitation:
            read_excitation_place();
            break;
        case Quantity::channel:
            read_cell("cell");
            if (scale_ != nullptr && scale_->description.converter != scale::Converter::per_cell) {
                view_.error(ErrorKind::impossible, "what",
                            "this scale has one converter on the summed bus, so no channel of a cell to "
                            "read: must be "
                            "another quantity, or converter = \"per-cell\" in the scale file");
            }
            break;
        case Quantity::inspection:
            read_inspection();
            return;
    }
    read_load_keys();
    if (!asked_) read_value();
    check_load();
}

/// Largest load under which a weight is shown. OIML R 76-1:2006, 4.2.3: none above Max + 9 e (from memory).
double most_shown_kg(const scale::Description& d) {
    return d.max_kg + 9.0 * d.division_kg;
}

void ReadingReader::check_load() const {
    if (scale_ == nullptr || !load_is_known_ || reading_.shown != Shown::value) return;
    const scale::Description& d = scale_->description;
    const double most_kg = most_shown_kg(d);
    const double load_kg = reading_.load.total_kg();
    if (load_kg <= most_kg * (1.0 + 1.0e-12)) return;
    const auto words = [&d](double kg) {
        return grouped_text(kg / scale::kilograms_in(d.unit)) + " " + std::string(unit_name(d.unit));
    };
    view_.error(ErrorKind::impossible, "load",
                "is " + words(load_kg) + " altogether, on a scale for " + words(d.max_kg) +
                    ": must be at most " + words(most_kg) +
                    " (max and 9 divisions), or have shown = \"over "
                    "range\" in place of the value");
}

void ReadingReader::read_load_keys() {
    if (view_.has("load")) {
        const auto placed = read_load(view_, "load", scale_, sources_);
        load_is_known_ = placed.has_value();
        if (placed) {
            reading_.load = placed->load;
            load_text_ = placed->text;
        }
    } else if (has_load(reading_.quantity)) {
        view_.missing("load", "\"empty\", or a load such as { mass = 1000, over = 3 }");
    }
    if (has_load(reading_.quantity)) read_direction();
    reading_.zero_set = reading_.quantity == Quantity::weight && view_.flag("zero_set").value_or(false);
    if (reading_.zero_set && load_is_known_ && reading_.load.count > 0)
        view_.error(ErrorKind::impossible, "zero_set", "must stand with load = \"empty\" only");
}

void ReadingReader::read_direction() {
    const int direction = view_.choice("direction", direction_words).value_or(-1);
    reading_.direction = static_cast<diagnosis::Direction>(direction + 1);
    const bool decreasing = reading_.direction == diagnosis::Direction::decreasing;
    if (decreasing && load_is_known_ && reading_.load.count == 0) {
        view_.error(
            ErrorKind::impossible, "direction",
            "an empty deck after a load is \"returned\"; \"decreasing\" needs a load that still stands");
    }
    if (reading_.direction == diagnosis::Direction::returned && load_is_known_ && reading_.load.count > 0) {
        view_.error(
            ErrorKind::impossible, "direction",
            "\"returned\" is an empty deck after a load: must be \"decreasing\" while a load stands, or "
            "load = \"empty\"");
    }
    if (!view_.has("from")) return;
    if (!decreasing) {
        view_.error(ErrorKind::impossible, "from", "must stand with direction = \"decreasing\" only");
        return;
    }
    read_from();
}

void ReadingReader::read_from() {
    const auto from =
        view_.table("from", view_.label() + "from.", "{ mass = ... }, the load it came down from");
    if (!from) return;
    from->unknown_keys({"mass"});
    const auto unit = scale_ != nullptr ? scale_->description.unit : scale::MassUnit::kilogram;
    const double kg = scale::kilograms_in(unit);
    const double stands = reading_.load.total_kg();
    const std::string unit_text(unit_name(unit));
    const double least = stands / kg * (1.0 + least_fall);
    const double most = scale_ != nullptr ? most_shown_kg(scale_->description) / kg : 1.0e7 / kg;
    const Range range{least, std::max(most, least)};
    std::string valid =
        "more than the load that still stands, " + grouped_text(stands / kg) + " " + unit_text;
    if (scale_ != nullptr)
        valid += ", and at most max and 9 divisions, " + grouped_text(most) + " " + unit_text;
    const auto mass = from->number("mass", range, valid);
    if (!from->has("mass")) from->missing("mass", valid);
    if (mass && stands > 0.0) reading_.came_down_from = *mass * kg / stands;
}

void ReadingReader::read_cell(std::string_view key) {
    const int last = scale_ != nullptr ? scale_->description.cell_count() : scale::max_cells;
    const Range range{1.0, static_cast<double>(last)};
    const std::string valid = "a " + std::string(key) + "'s number, " + range_text(range, "");
    const auto number = view_.integer(key, range, valid);
    if (!view_.has(key)) view_.missing(key, valid);
    if (number) reading_.cell = static_cast<int>(*number) - 1;
}

void ReadingReader::read_between() {
    const std::string valid = "two different wires of \"E+\", \"E-\", \"S+\", \"S-\", \"shield\"";
    if (!view_.has("between")) {
        view_.missing("between", valid);
        return;
    }
    if (const auto wires = two_wires(view_, "between", wire_words, valid)) {
        reading_.between_a = (*wires)[0];
        reading_.between_b = (*wires)[1];
    }
}

void ReadingReader::read_excitation_place() {
    if (view_.has("cell") && view_.has("at")) {
        view_.error(ErrorKind::impossible, "at",
                    "says the place a second time: must be only one of cell and at");
        return;
    }
    if (view_.has("cell")) {
        reading_.place = diagnosis::ExcitationPlace::cell;
        read_cell("cell");
        return;
    }
    if (!view_.has("at")) {
        view_.missing("cell", "a cell's number; or give at = \"box\" or at = \"indicator\"");
        return;
    }
    reading_.place = view_.choice("at", place_words).value_or(0) == 0 ? diagnosis::ExcitationPlace::box
                                                                      : diagnosis::ExcitationPlace::indicator;
}

void ReadingReader::read_connection() {
    if (!view_.has("connected")) {
        view_.missing("connected", "false (lifted, alone on its own excitation) or true (still on the bus)");
    }
    const auto connected = view_.flag("connected");
    reading_.connected = connected.value_or(false);
    const Range range{0.1, 100.0};
    const auto excitation_V = view_.number("excitation_V", range, range_text(range, "V"));
    if (!view_.has("excitation_V")) return;
    reading_.lifted_excitation_V = excitation_V.value_or(0.0);
    if (reading_.connected) {
        view_.error(ErrorKind::impossible, "excitation_V",
                    "a connected cell is fed by the bus: must stand with connected = false only");
    }
}

void ReadingReader::read_exchanged() {
    if (!view_.has("exchanged")) return;
    if (reading_.look != diagnosis::Look::wire_colours || reading_.as_it_should_be) {
        view_.error(ErrorKind::impossible, "exchanged",
                    "says which wires stand exchanged: must stand with look = \"wire colours\" and found = "
                    "\"not\" only");
        return;
    }
    const auto live = std::span(wire_words).first(scale::live_wire_count);
    const std::string valid = "two different wires of \"E+\", \"E-\", \"S+\", \"S-\"";
    if (const auto wires = two_wires(view_, "exchanged", live, valid)) {
        reading_.exchanged = true;
        reading_.between_a = (*wires)[0];
        reading_.between_b = (*wires)[1];
    }
}

void ReadingReader::read_inspection() {
    if (!asked_) reading_.as_it_should_be = required_word("found", found_words) == 0;
    const auto look = required_word("look", look_words);
    if (!look) return;
    reading_.look = static_cast<diagnosis::Look>(*look);
    read_exchanged();
    const bool is_gap = reading_.look == diagnosis::Look::gap_at_support;
    if (reading_.look == diagnosis::Look::end_gap) {
        for (const char* key : {"cell", "support"}) {
            if (view_.has(key))
                view_.error(ErrorKind::impossible, key, "the end gap is the whole deck's: must be left out");
        }
    } else if (is_gap && view_.has("support") && view_.has("cell")) {
        view_.error(ErrorKind::impossible, "cell",
                    "says the place a second time: must be left out beside support");
    } else if (is_gap && !view_.has("cell")) {
        read_cell("support");
    } else {
        if (view_.has("support") && !is_gap) {
            view_.error(ErrorKind::impossible, "support",
                        "belongs to look = \"gap at support\": give cell instead");
        }
        read_cell("cell");
    }
}

double ReadingReader::unit_factor(const ValueKey& key) const {
    if (!key.unit.empty()) return key.si_per_unit;
    return scale_ != nullptr ? scale::kilograms_in(scale_->description.unit) : 1.0;
}

std::string ReadingReader::unit_text(const ValueKey& key) const {
    if (!key.unit.empty()) return std::string(key.unit);
    return scale_ != nullptr ? std::string(unit_name(scale_->description.unit)) : "";
}

void ReadingReader::read_value() {
    const ValueKey* given = nullptr;
    std::string names;
    for (const ValueKey& key : value_keys()) {
        if (key.quantity != reading_.quantity) continue;
        names += (names.empty() ? "" : " or ") + std::string(key.name);
        if (!view_.has(key.name)) continue;
        if (given != nullptr) {
            view_.error(ErrorKind::impossible, key.name,
                        "stands beside " + std::string(given->name) + ": must be only one value");
            return;
        }
        given = &key;
    }
    if (given == nullptr && !view_.has("shown")) {
        view_.findings().error(
            ErrorKind::missing_key, view_.header(),
            "has no value: must have " + names + ", or shown = \"over range\" and the like");
        return;
    }
    if (given != nullptr && view_.has("shown")) {
        view_.error(
            ErrorKind::impossible, "shown",
            "stands beside " + std::string(given->name) + ": must be left out, or be in place of the value");
        return;
    }
    if (given != nullptr) {
        read_number_value(*given);
        return;
    }
    const std::span<const std::string_view> words(shown_instead);
    const auto shown = view_.choice("shown", words.first(shown_word_count(reading_.quantity)));
    reading_.shown = static_cast<Shown>(shown.value_or(0) + 1);
    if (view_.has("uncertainty")) {
        view_.error(ErrorKind::impossible, "uncertainty",
                    "belongs to a value: must be left out beside shown");
    }
}

void ReadingReader::read_number_value(const ValueKey& key) {
    const double factor = unit_factor(key);
    const std::string unit = unit_text(key);
    Range range = key.range;
    if (key.unit.empty()) range = {key.range.low / factor, key.range.high / factor};
    reading_.is_ratio = key.is_ratio;
    if (key.at_least) reading_.shown = Shown::at_least;
    const auto floating = view_.node(key.name)->as_floating_point();
    const bool endless = floating != nullptr && std::isinf(floating->get()) && floating->get() > 0.0;
    if (endless && reading_.quantity == Quantity::resistance && !key.at_least) {
        reading_.shown = Shown::over_range;
        if (view_.has("uncertainty")) {
            view_.error(ErrorKind::impossible, "uncertainty",
                        "belongs to a value: must be left out beside inf");
        }
        return;
    }
    const auto value = view_.number(key.name, range, range_text(range, unit));
    reading_.value = value.value_or(0.0) * factor;
    if (!view_.has("uncertainty")) return;
    const Range spread{least_uncertainty, range.high};
    const auto uncertainty = view_.number("uncertainty", spread, range_text(spread, unit));
    reading_.uncertainty = uncertainty.value_or(0.0) * factor;
}

std::optional<NotedReading> noted(const TableView& view, const ScaleFile* scale, const SheetSources& sources,
                                  bool asked) {
    const auto what = view.choice("what", quantity_words);
    if (!view.has("what")) view.missing("what", one_of(quantity_words));
    if (!what) return std::nullopt;
    ReadingReader reader(view, scale, sources, static_cast<Quantity>(*what), asked);
    reader.read();
    return NotedReading{reader.reading(), {view.header().line, reader.text()}};
}

}  // namespace

std::optional<NotedReading> read_reading(const TableView& view, const ScaleFile* scale,
                                         const SheetSources& sources) {
    return noted(view, scale, sources, false);
}

std::optional<NotedReading> read_asked_reading(const TableView& view, const ScaleFile* scale,
                                               const SheetSources& sources) {
    return noted(view, scale, sources, true);
}

}  // namespace cornerbench::files
