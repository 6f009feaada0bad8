#include "sim/files/sheet_file.h"

#include <array>
#include <filesystem>
#include <optional>

#include "sim/files/sheet_keys.h"
#include "sim/files/sheet_reading.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

constexpr std::array<std::string_view, 2> zeroed_words{"before", "now"};
constexpr std::array<std::string_view, 2> history_words{"calibrated", "new"};

void read_scale(const TableView& root, const SheetSources& sources, SheetFile& sheet, bool& usable) {
    const auto name = root.text("scale");
    if (!root.has("scale")) root.missing("scale", "the path of a scale file, from this sheet's folder");
    if (!name) return;
    Loaded<ScaleFile> loaded = sources.scale(*name);
    if (loaded.unreadable()) {
        const FileError& why = loaded.errors.front();
        root.error(ErrorKind::unreadable, "scale", why.file + ": " + why.message);
        return;
    }
    root.findings().adopt(loaded);
    if (!loaded) return;
    sheet.scale = std::move(*loaded.value);
    usable = true;
}

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

SheetFile sheet_of(const toml::table& table, const SheetSources& sources, Findings& findings) {
    const TableView root(table, "", Spot{}, findings);
    root.unknown_keys(sheet_key_names(""));
    SheetFile sheet;
    sheet.path = findings.file();
    bool scale_usable = false;
    read_scale(root, sources, sheet, scale_usable);
    read_instruments(root, sheet);
    if (const auto zeroed = root.choice("zeroed", zeroed_words)) {
        sheet.zeroed = static_cast<diagnosis::Zeroed>(*zeroed);
    }
    if (const auto history = root.choice("history", history_words)) {
        sheet.history = static_cast<diagnosis::History>(*history);
    }
    for (const TableView& view : root.tables("reading")) {
        const auto noted = read_reading(view, scale_usable ? &sheet.scale : nullptr, sources);
        if (!noted) continue;
        sheet.readings.push_back(noted->reading);
        sheet.notes.push_back(noted->note);
    }
    return sheet;
}

Loaded<SheetFile> loaded_of(std::string_view text, const SheetSources& sources, Findings& findings) {
    SheetFile sheet;
    if (const auto root = parse_text(text, findings)) sheet = sheet_of(*root, sources, findings);
    return findings.result(std::move(sheet));
}

bool is_plain_name(const std::string& name) {
    for (const char c : name) {
        const bool letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        if (!letter && c != '-' && c != '_') return false;
    }
    return !name.empty();
}

/// Where the vehicle that a sheet in `folder` names lies; empty when nowhere.
std::string vehicle_path(const std::filesystem::path& folder, const std::string& name) {
    std::error_code error;
    std::filesystem::path here = std::filesystem::absolute(folder, error).lexically_normal();
    for (;;) {
        for (const char* sub : {"vehicles", "configs/vehicles"}) {
            const std::filesystem::path candidate = here / sub / (name + ".toml");
            if (std::filesystem::is_regular_file(candidate, error)) return candidate.string();
        }
        if (!here.has_relative_path()) return "";
        here = here.parent_path();
    }
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
        const std::string path = vehicle_path(folder, vehicle);
        if (!path.empty()) return load_vehicle(path);
        Findings findings("vehicles/" + vehicle + ".toml");
        findings.error(ErrorKind::unreadable, {},
                       "found neither beside the sheet nor in a folder above it, nor under configs/");
        return findings.result(Vehicle{});
    };
    return sources;
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
