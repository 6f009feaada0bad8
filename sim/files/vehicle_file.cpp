#include "sim/files/vehicle_file.h"

#include <cstddef>

#include "sim/files/file_kind.h"
#include "sim/files/mass_unit.h"
#include "sim/files/table_view.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

constexpr Range axle_mass_kg{1.0, 1.0e5};
constexpr Range axle_spacing_m{0.3, 30.0};
constexpr Range braking_m_per_s2{0.1, 5.0};
// Bodies on springs (common practice, no source).
constexpr Range bounce_Hz{1.5, 4.0};
constexpr Range bounce_damping{0.01, 0.7};
// Beyond it a wheel would leave the deck.
constexpr Range bounce_share{0.0, 0.5};

void read_axle(const TableView& view, scale::MassUnit unit, Vehicle& vehicle) {
    view.unknown_keys(names_of(vehicle_keys(), "axle"));
    const double kg = scale::kilograms_in(unit);
    const Range in_unit{axle_mass_kg.low / kg, axle_mass_kg.high / kg};
    const std::string valid_mass = range_text(in_unit, unit_name(unit));
    const std::string valid_spacing = range_text(axle_spacing_m, "m");
    Axle axle;
    if (const auto mass = view.number("mass", in_unit, valid_mass)) {
        axle.mass_kg = *mass * kg;
    } else if (!view.has("mass")) {
        view.missing("mass", valid_mass);
    }
    if (vehicle.axles.empty()) {
        if (view.has("spacing_m")) {
            view.error(ErrorKind::impossible, "spacing_m",
                       "the first axle has none before it: must be left out");
        }
    } else if (const auto spacing = view.number("spacing_m", axle_spacing_m, valid_spacing)) {
        axle.behind_front_m = vehicle.axles.back().behind_front_m + *spacing;
    } else if (!view.has("spacing_m")) {
        view.missing("spacing_m", valid_spacing);
    }
    vehicle.axles.push_back(axle);
}

Vehicle vehicle_of(const toml::table& root, Findings& findings) {
    const TableView view(root, "", Spot{}, findings);
    view.unknown_keys(names_of(vehicle_keys(), ""));
    Vehicle vehicle;
    vehicle.path = findings.file();
    if (const auto name = view.text("name")) {
        vehicle.name = *name;
    } else if (!view.has("name")) {
        view.missing("name", "text in quotes");
    }
    auto unit = scale::MassUnit::kilogram;
    if (const auto index = view.choice("unit", unit_names)) {
        unit = static_cast<scale::MassUnit>(*index);
    } else if (!view.has("unit")) {
        view.missing("unit", one_of(unit_names));
    }
    vehicle.braking_m_per_s2 =
        view.number("braking_m_per_s2", braking_m_per_s2, range_text(braking_m_per_s2, "m/s2"));
    vehicle.bounce_Hz = view.number("bounce_Hz", bounce_Hz, range_text(bounce_Hz, "Hz"));
    vehicle.bounce_damping =
        view.number("bounce_damping", bounce_damping, range_text(bounce_damping, "of the critical damping"));
    vehicle.bounce_share =
        view.number("bounce_share", bounce_share, range_text(bounce_share, "of the axle loads"));
    const auto axles = view.tables("axle");
    if (!view.has("axle")) view.missing("axle", "a list of tables, each begun by [[axle]]");
    if (axles.size() > static_cast<std::size_t>(max_axles)) {
        view.error(
            ErrorKind::out_of_range, "axle",
            "has " + std::to_string(axles.size()) + " axles: must be at most " + std::to_string(max_axles));
    }
    for (const TableView& axle : axles) read_axle(axle, unit, vehicle);
    if (view.has("axle") && axles.empty() && findings.clean()) {
        view.error(ErrorKind::out_of_range, "axle", "must hold at least one axle");
    }
    return vehicle;
}

Loaded<Vehicle> loaded_of(std::string_view text, Findings& findings) {
    Vehicle vehicle;
    const auto root = parse_text(text, findings);
    if (root && !is_other_kind(*root, FileKind::vehicle, findings)) vehicle = vehicle_of(*root, findings);
    return findings.result(std::move(vehicle));
}

}  // namespace

const std::vector<PlainKey>& vehicle_keys() {
    static const std::vector<PlainKey> keys{
        {"", "name", "what people call it; required"},
        {"", "unit", "of every mass in this file, " + one_of(unit_names) + "; required"},
        {"", "braking_m_per_s2",
         "with which it comes to a stand; brakes harder where that would be too late; default 0.8; " +
             range_text(braking_m_per_s2, "m/s2")},
        {"", "bounce_Hz",
         "at which the body swings on its springs; default 2.5; " + range_text(bounce_Hz, "Hz")},
        {"", "bounce_damping",
         "of that swing, as a share of the critical damping; default 0.12; " +
             range_text(bounce_damping, "")},
        {"", "bounce_share",
         "by which share of its load each axle's force swings when the vehicle has come to a stand; "
         "default: what road and deck's edge leave; " +
             range_text(bounce_share, "")},
        {"", "axle",
         "the axles from the front, each begun by [[axle]]; at least one and at most " +
             std::to_string(max_axles)},
        {"axle", "mass", "on this axle, both wheels; required; " + range_text(axle_mass_kg, "kg")},
        {"axle", "spacing_m",
         "behind the axle before it; required, but for the first, which has none; " +
             range_text(axle_spacing_m, "m")}};
    return keys;
}

std::string vehicle_keys_text() {
    return "At the top of the file\n" + entries_of(vehicle_keys(), "") + "\n[[axle]]\n" +
           entries_of(vehicle_keys(), "axle");
}

double Vehicle::total_kg() const {
    double sum = 0.0;
    for (const Axle& axle : axles) sum += axle.mass_kg;
    return sum;
}

Loaded<Vehicle> load_vehicle(const std::string& path) {
    Findings findings(path);
    const auto text = read_text(path, findings);
    return text ? loaded_of(*text, findings) : findings.result(Vehicle{});
}

Loaded<Vehicle> parse_vehicle(std::string_view text, const std::string& path) {
    Findings findings(path);
    return loaded_of(text, findings);
}

}  // namespace cornerbench::files
