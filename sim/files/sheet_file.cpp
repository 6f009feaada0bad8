#include "sim/files/sheet_file.h"

#include <algorithm>
#include <array>
#include <filesystem>
#include <optional>
#include <set>

#include <spdlog/fmt/fmt.h>

#include "firmware/diagnosis/load_history.h"
#include "sim/files/file_kind.h"
#include "sim/files/installed_data.h"
#include "sim/files/named_scale.h"
#include "sim/files/nearest_word.h"
#include "sim/files/sheet_keys.h"
#include "sim/files/sheet_reading.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

constexpr std::array<std::string_view, 2> zeroed_words{"before", "now"};
constexpr std::array<std::string_view, 2> history_words{"calibrated", "new"};

void read_instruments(const TableView& root, SheetFile& sheet) {
    const auto view = root.table("instruments", "[instruments] ");
    if (!view) return;
    std::vector<std::string_view> known;
    for (const InstrumentKey& key : instrument_keys()) {
        known.push_back(key.name);
        const auto value = view->number(key.name, key.range, range_text(key.range, key.unit));
        if (value) sheet.instruments.*key.member = *value * key.si_per_unit;
    }
    view->unknown_keys(known);
}

/// An empty sheet as it was printed: one word about it is enough.
bool nothing_read(const std::vector<TableView>& readings) {
    constexpr std::size_t fewest = 2;
    const auto has_value = [](const TableView& view) {
        const auto& keys = value_keys();
        return view.has("shown") || view.has("found") ||
               std::any_of(keys.begin(), keys.end(), [&](const ValueKey& key) { return view.has(key.name); });
    };
    return readings.size() >= fewest && std::none_of(readings.begin(), readings.end(), has_value);
}

SheetFile sheet_of(const toml::table& table, const SheetSources& sources, Findings& findings) {
    const TableView root(table, "", Spot{}, findings);
    root.unknown_keys(sheet_key_names(""));
    SheetFile sheet;
    sheet.path = findings.file();
    auto scale = read_named_scale(root, sources, "sheet");
    const bool scale_usable = scale.has_value();
    if (scale_usable) sheet.scale = std::move(*scale);
    read_instruments(root, sheet);
    if (const auto zeroed = root.choice("zeroed", zeroed_words)) {
        sheet.zeroed = static_cast<diagnosis::Zeroed>(*zeroed);
    }
    if (const auto history = root.choice("history", history_words)) {
        sheet.history = static_cast<diagnosis::History>(*history);
    }
    const auto readings = root.tables("reading");
    if (nothing_read(readings)) {
        findings.error(
            ErrorKind::missing_key, readings.front().header(),
            fmt::format("none of {} readings has a value yet: write what the meter shows, and take "
                        "out the readings that are not taken",
                        readings.size()));
        return sheet;
    }
    for (const TableView& view : readings) {
        const auto noted = read_reading(view, scale_usable ? &sheet.scale : nullptr, sources);
        if (!noted) continue;
        if (sheet.readings.size() == diagnosis::max_readings) {
            findings.error(ErrorKind::out_of_range, view.header(),
                           fmt::format("one of {} readings, and a sheet holds {}; valid: readings of one "
                                       "scale in one state, those of another day on a sheet of their own",
                                       readings.size(), diagnosis::max_readings));
            break;
        }
        sheet.readings.push_back(noted->reading);
        sheet.notes.push_back(noted->note);
    }
    return sheet;
}

Loaded<SheetFile> loaded_of(std::string_view text, const SheetSources& sources, Findings& findings) {
    SheetFile sheet;
    const auto root = parse_text(text, findings);
    if (root && !is_other_kind(*root, FileKind::sheet, findings)) sheet = sheet_of(*root, sources, findings);
    return findings.result(std::move(sheet));
}

bool is_plain_name(const std::string& name) {
    for (const char c : name) {
        const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        if (!letter && c != '-' && c != '_') return false;
    }
    return !name.empty();
}

/// Folders in which the vehicles that a sheet in `folder` names may lie, the nearest first
/// and the installed ones last.
std::vector<std::filesystem::path> vehicle_folders(const std::filesystem::path& folder) {
    std::vector<std::filesystem::path> folders;
    std::error_code error;
    std::filesystem::path here = std::filesystem::absolute(folder, error).lexically_normal();
    for (;;) {
        for (const char* sub : {"vehicles", "configs/vehicles"}) {
            if (std::filesystem::is_directory(here / sub, error)) folders.push_back(here / sub);
        }
        if (!here.has_relative_path()) break;
        here = here.parent_path();
    }
    for (const std::filesystem::path& shipped : {source_data(), installed_data()})
        if (!shipped.empty() && std::filesystem::is_directory(shipped / "vehicles", error))
            folders.push_back(shipped / "vehicles");
    return folders;
}

/// Names of all vehicles in `folders`, in the order of the alphabet.
std::vector<std::string> vehicles_in(const std::vector<std::filesystem::path>& folders) {
    std::set<std::string> names;
    for (const std::filesystem::path& folder : folders) {
        std::error_code error;
        for (std::filesystem::directory_iterator it(folder, error), end; !error && it != end;
             it.increment(error)) {
            if (it->path().extension() == ".toml") names.insert(it->path().stem().string());
        }
    }
    return {names.begin(), names.end()};
}

Loaded<Vehicle> load_vehicle_named(const std::string& name, const std::string& folder) {
    const auto folders = vehicle_folders(folder);
    for (const std::filesystem::path& each : folders) {
        const std::filesystem::path candidate = each / (name + ".toml");
        std::error_code error;
        if (std::filesystem::is_regular_file(candidate, error)) return load_vehicle(candidate.string());
    }
    std::string message =
        "found neither beside the file that names it nor in a folder above it, nor under configs/, nor "
        "where the program is installed";
    const std::vector<std::string> known = vehicles_in(folders);
    if (!known.empty()) message += "; " + nearest_or_all(name, {known.begin(), known.end()});
    Findings findings("vehicles/" + name + ".toml");
    findings.error(ErrorKind::unreadable, {}, message);
    return findings.result(Vehicle{});
}

std::string beside(const std::string& folder, const std::string& path) {
    return (std::filesystem::path(folder) / path).lexically_normal().string();
}

}  // namespace

SheetSources sources_beside(const std::string& folder) {
    SheetSources sources;
    sources.scale = [folder](const std::string& path) { return load_scale(beside(folder, path)); };
    sources.vehicle = [folder](const std::string& vehicle) {
        if (!is_plain_name(vehicle)) return load_vehicle(beside(folder, vehicle));
        return load_vehicle_named(vehicle, folder);
    };
    return sources;
}

std::vector<std::string> vehicles_near(const std::string& folder) {
    return vehicles_in(vehicle_folders(folder));
}

Loaded<SheetFile> load_sheet(const std::string& path) {
    Findings findings(path);
    const auto text = read_text(path, findings);
    if (!text) return findings.result(SheetFile{});
    return loaded_of(*text, sources_beside(std::filesystem::path(path).parent_path().string()), findings);
}

Loaded<SheetFile> parse_sheet(std::string_view text, const std::string& path, const SheetSources& sources) {
    Findings findings(path);
    return loaded_of(text, sources, findings);
}

}  // namespace cornerbench::files
