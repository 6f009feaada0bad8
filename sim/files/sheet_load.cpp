#include "sim/files/sheet_load.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "firmware/scale/numbering.h"
#include "sim/files/mass_unit.h"
#include "sim/files/sheet_keys.h"

namespace cornerbench::files {

namespace {

using diagnosis::Load;
using diagnosis::Standing;

constexpr Range load_mass_kg{1.0e-3, 1.0e6};
constexpr const char* load_forms =
    R"("empty", { mass, over = support }, { mass, section = n }, { mass, at = [x, y] }, { vehicle, position = x })";

/// One deck as loads see it. Without a usable scale its ends are far away and its supports many.
struct DeckEdges {
    scale::MassUnit unit = scale::MassUnit::kilogram;
    int sections = scale::max_sections;
    double left_m = -1.0e4;
    double right_m = 1.0e4;
    double width_m = 1.0e3;
    const scale::Deck* deck = nullptr;
};

DeckEdges edges_of(const ScaleFile* scale) {
    DeckEdges edges;
    if (scale == nullptr) return edges;
    const scale::Deck& deck = scale->description.deck;
    edges.unit = scale->description.unit;
    edges.sections = deck.sections;
    edges.left_m = deck.section_x_m[0] - deck.overhang_m;
    edges.right_m = deck.section_x_m[static_cast<std::size_t>(deck.sections - 1)] + deck.overhang_m;
    edges.width_m = deck.width_m;
    edges.deck = &deck;
    return edges;
}

double section_x_m(const DeckEdges& edges, int section) {
    return edges.deck != nullptr ? edges.deck->section_x_m[static_cast<std::size_t>(section)] : 0.0;
}

class LoadReader {
  public:
    LoadReader(const DeckEdges& edges, const SheetSources& sources) : edges_(edges), sources_(sources) {}

    bool read(const TableView& view);
    PlacedLoad& placed() { return placed_; }

  private:
    bool read_mass(const TableView& view);
    bool read_place(const TableView& view, Standing& standing, std::string& text) const;
    bool read_at(const TableView& view, Standing& standing, std::string& text) const;
    bool read_vehicle(const TableView& view);
    bool put_vehicle(const TableView& view, const Vehicle& vehicle, double position_m, bool heads_right);
    bool put(const TableView& view, const Standing& standing);
    void add_text(const std::string& text) { placed_.text += (placed_.text.empty() ? "" : " and ") + text; }

    const DeckEdges& edges_;
    const SheetSources& sources_;
    PlacedLoad placed_;
};

bool LoadReader::read(const TableView& view) {
    view.unknown_keys(sheet_key_names("load"));
    const bool has_vehicle_key = view.has("vehicle") || view.has("position") || view.has("heading");
    const bool has_mass_key = view.has("mass") || view.has("over") || view.has("section") || view.has("at");
    if (has_vehicle_key && has_mass_key) {
        view.findings().error(ErrorKind::impossible, view.header(),
                              std::string("is a mass and a vehicle at once: must be one of ") + load_forms);
        return false;
    }
    if (!has_vehicle_key && !has_mass_key) {
        view.findings().error(ErrorKind::missing_key, view.header(),
                              std::string("says no load: must be one of ") + load_forms);
        return false;
    }
    return has_vehicle_key ? read_vehicle(view) : read_mass(view);
}

bool LoadReader::read_mass(const TableView& view) {
    const double kg = scale::kilograms_in(edges_.unit);
    const Range in_unit{load_mass_kg.low / kg, load_mass_kg.high / kg};
    const std::string valid = range_text(in_unit, unit_name(edges_.unit));
    const auto mass = view.number("mass", in_unit, valid);
    if (!view.has("mass")) view.missing("mass", valid);
    Standing standing;
    std::string text;
    const bool has_place = read_place(view, standing, text);
    if (!mass || !has_place) return false;
    standing.mass_kg = *mass * kg;
    add_text(grouped_text(*mass) + " " + std::string(unit_name(edges_.unit)) + " " + text);
    return put(view, standing);
}

bool LoadReader::read_place(const TableView& view, Standing& standing, std::string& text) const {
    const int places = (view.has("over") ? 1 : 0) + (view.has("section") ? 1 : 0) + (view.has("at") ? 1 : 0);
    if (places == 0) {
        view.missing("over", "a support's number; or give section = n, or at = [x, y]");
        return false;
    }
    if (places > 1) {
        const char* second = view.has("at") ? "at" : "section";
        view.error(ErrorKind::impossible, second,
                   "says the place a second time: must be only one of over, section and at");
        return false;
    }
    if (view.has("at")) return read_at(view, standing, text);
    const bool over = view.has("over");
    const char* key = over ? "over" : "section";
    const int last = over ? 2 * edges_.sections : edges_.sections;
    const Range range{1.0, static_cast<double>(last)};
    const auto number = view.integer(key, range, range_text(range, over ? "supports" : "section lines"));
    if (!number) return false;
    const int index = static_cast<int>(*number) - 1;
    if (over) {
        standing.x_m = section_x_m(edges_, scale::section_of(index, edges_.sections));
        standing.y_m = scale::is_far(index, edges_.sections) ? edges_.width_m : 0.0;
        text = "over " + std::to_string(*number);
    } else {
        standing.x_m = section_x_m(edges_, index);
        standing.y_m = edges_.width_m / 2.0;
        text = "across section " + std::to_string(*number);
    }
    return true;
}

bool LoadReader::read_at(const TableView& view, Standing& standing, std::string& text) const {
    const toml::array* list = view.node("at")->as_array();
    if (list == nullptr || list->size() != 2) {
        view.error(ErrorKind::wrong_type, "at", "must be two numbers, [x, y] (m)");
        return false;
    }
    const Range along{edges_.left_m, edges_.right_m};
    const Range across{0.0, edges_.width_m};
    const std::string name = view.spot("at").key;
    const auto read = [&](std::size_t i, const Range& range, const char* axis) {
        const std::string valid = std::string("on the deck, ") + axis + " " + range_text(range, "m");
        return read_number((*list)[i], spot_of((*list)[i], name), range, valid, view.findings());
    };
    const auto x = read(0, along, "x");
    const auto y = read(1, across, "y");
    if (!x || !y) return false;
    standing.x_m = *x;
    standing.y_m = *y;
    text = "at (" + number_text(*x) + ", " + number_text(*y) + ") m";
    return true;
}

bool LoadReader::read_vehicle(const TableView& view) {
    const auto name = view.text("vehicle");
    if (!view.has("vehicle")) view.missing("vehicle", "path or name of a vehicle file");
    const Range anywhere{-1.0e4, 1.0e4};
    const auto position = view.number("position", anywhere, range_text(anywhere, "m"));
    if (!view.has("position")) view.missing("position", "x of the front axle (m)");
    constexpr std::string_view headings[] = {"right", "left"};
    const auto heading = view.choice("heading", headings);
    if (!name || !position || (view.has("heading") && !heading)) return false;
    const Loaded<Vehicle> vehicle = sources_.vehicle(*name);
    if (vehicle.unreadable()) {
        const FileError& why = vehicle.errors.front();
        view.error(ErrorKind::unreadable, "vehicle", why.file + ": " + why.message);
        return false;
    }
    view.findings().adopt(vehicle);
    return vehicle && put_vehicle(view, *vehicle.value, *position, heading.value_or(0) == 0);
}

bool LoadReader::put_vehicle(const TableView& view, const Vehicle& vehicle, double position_m,
                             bool heads_right) {
    const double middle_m = edges_.width_m / 2.0;
    const double offset_m = std::min(half_track_m, middle_m);
    std::size_t on_deck = 0;
    for (const Axle& axle : vehicle.axles) {
        const double x_m = position_m + (heads_right ? -axle.behind_front_m : axle.behind_front_m);
        if (x_m < edges_.left_m || x_m > edges_.right_m) continue;
        ++on_deck;
        for (const double y_m : {middle_m - offset_m, middle_m + offset_m}) {
            if (!put(view, {axle.mass_kg / 2.0, x_m, y_m})) return false;
        }
    }
    if (on_deck == 0) {
        const double length_m = vehicle.axles.back().behind_front_m;
        const Range valid{edges_.left_m - (heads_right ? 0.0 : length_m),
                          edges_.right_m + (heads_right ? length_m : 0.0)};
        view.error(ErrorKind::impossible, "position",
                   "no axle stands on the deck: must be " + range_text(valid, "m"));
        return false;
    }
    std::string text = vehicle.name + " with its front axle at " + number_text(position_m) + " m";
    if (!heads_right) text += ", heading left";
    if (on_deck < vehicle.axles.size()) {
        text += " (" + std::to_string(on_deck) + " of " + std::to_string(vehicle.axles.size()) +
                " axles on the deck)";
    }
    add_text(text);
    return true;
}

bool LoadReader::put(const TableView& view, const Standing& standing) {
    Load& load = placed_.load;
    if (load.count == diagnosis::max_standing) {
        view.findings().error(ErrorKind::out_of_range, view.header(),
                              "is too much: a load must be at most " +
                                  std::to_string(diagnosis::max_standing) + " weights and wheels");
        return false;
    }
    load.standing[static_cast<std::size_t>(load.count++)] = standing;
    return true;
}

}  // namespace

std::optional<PlacedLoad> read_load(const TableView& reading, std::string_view key, const ScaleFile* scale,
                                    const SheetSources& sources) {
    const toml::node* node = reading.node(key);
    const DeckEdges edges = edges_of(scale);
    LoadReader reader(edges, sources);
    const std::string name = reading.label() + std::string(key);
    if (const auto word = node->as_string(); word != nullptr && word->get() == "empty") {
        reader.placed().text = "empty";
        return reader.placed();
    }
    if (const auto single = node->as_table()) {
        const TableView view(*single, name + ".", reading.spot(key), reading.findings());
        return reader.read(view) ? std::optional(reader.placed()) : std::nullopt;
    }
    const auto list = node->as_array();
    if (list == nullptr || list->empty()) {
        reading.error(list == nullptr && !node->is_string() ? ErrorKind::wrong_type : ErrorKind::out_of_range,
                      key, std::string("must be one of ") + load_forms + ", or a list of loads");
        return std::nullopt;
    }
    bool good = true;
    for (const toml::node& element : *list) {
        const Spot spot = spot_of(element, name);
        if (const auto table = element.as_table()) {
            good = reader.read(TableView(*table, name + ".", spot, reading.findings())) && good;
        } else {
            reading.findings().error(ErrorKind::wrong_type, spot,
                                     "a list holds loads in braces, such as { mass = 1000, over = 3 }");
            good = false;
        }
    }
    return good ? std::optional(reader.placed()) : std::nullopt;
}

}  // namespace cornerbench::files
