#include "sim/files/session_file.h"

#include <cstddef>
#include <filesystem>

#include "sim/files/file_kind.h"
#include "sim/files/mass_unit.h"
#include "sim/files/sheet_file.h"
#include "sim/files/step_order.h"
#include "sim/files/table_view.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

constexpr Range seconds_range{0.01, 604'800.0};
constexpr Range speed_range{0.5, 30.0};
constexpr Range position_range{-200.0, 200.0};
constexpr Range wind_range{0.0, 40.0};
constexpr Range step_range{-60.0, 60.0};
constexpr Range wander_range{0.0, 3.0};
constexpr Range count_range{1.0, 10'000.0};
constexpr int most_steps = 1000;
constexpr double km_h = 1.0 / 3.6;

struct DeedKeys {
    Deed deed;
    std::vector<std::string_view> keys;
};

/// The keys that a step may have beside `do`.
const std::vector<DeedKeys>& keys_of_deeds() {
    static const std::vector<DeedKeys> all{
        {Deed::wait, {"s"}},
        {Deed::settle, {"s"}},
        {Deed::drive_on, {"vehicle", "speed_km_h", "heading", "front_axle_m"}},
        {Deed::drive_off, {"speed_km_h"}},
        {Deed::put, {"load"}},
        {Deed::take_off, {}},
        {Deed::press, {"key"}},
        {Deed::print, {}},
        {Deed::corner_round, {"mass"}},
        {Deed::power_cut, {"s"}},
        {Deed::temperature, {"step_K", "s"}},
        {Deed::cause, {"with", "grows_s", "on_s", "off_s", "irregular", "wander"}},
        {Deed::mend, {}},
        {Deed::converter_fault, {"fault", "s"}},
        {Deed::trucks, {"count", "vehicles", "apart_s", "speed_km_h", "heading"}}};
    return all;
}

class StepReader {
  public:
    StepReader(const TableView& view, const ScaleFile& scale, const SheetSources& sources)
        : view_(view), scale_(scale), sources_(sources) {}

    std::optional<Step> read();

  private:
    double number(std::string_view key, const Range& range, std::string_view unit, double otherwise,
                  bool needed);
    void read_vehicle(std::string_view key, const std::string& name);
    void read_vehicles();
    void read_heading();
    void read_load();
    void read_course();

    const TableView& view_;
    const ScaleFile& scale_;
    const SheetSources& sources_;
    Step step_;
};

double StepReader::number(std::string_view key, const Range& range, std::string_view unit, double otherwise,
                          bool needed) {
    const std::string valid = range_text(range, unit);
    if (needed && !view_.has(key)) view_.missing(key, valid);
    return view_.number(key, range, valid).value_or(otherwise);
}

void StepReader::read_vehicle(std::string_view key, const std::string& name) {
    const Loaded<Vehicle> vehicle = sources_.vehicle(name);
    if (vehicle.unreadable()) {
        const FileError& why = vehicle.errors.front();
        view_.error(ErrorKind::unreadable, key, why.file + ": " + why.message);
        return;
    }
    view_.findings().adopt(vehicle);
    if (vehicle) step_.vehicles.push_back(*vehicle.value);
}

void StepReader::read_vehicles() {
    const toml::node* node = view_.node("vehicles");
    const toml::array* list = node != nullptr ? node->as_array() : nullptr;
    if (list == nullptr || list->empty()) {
        if (node == nullptr)
            view_.missing("vehicles", "a list of paths or names of vehicle files");
        else
            view_.error(ErrorKind::wrong_type, "vehicles",
                        "must be a list of paths or names of vehicle files");
        return;
    }
    for (const toml::node& element : *list) {
        if (const auto name = element.as_string())
            read_vehicle("vehicles", name->get());
        else
            view_.error(ErrorKind::wrong_type, "vehicles", "holds something that is no text in quotes");
    }
}

void StepReader::read_heading() {
    constexpr std::string_view headings[] = {"right", "left"};
    step_.heads_right = view_.choice("heading", headings).value_or(0) == 0;
}

void StepReader::read_load() {
    if (!view_.has("load")) {
        view_.missing("load", "such as { mass = 1000, over = 3 }");
        return;
    }
    if (auto placed = files::read_load(view_, "load", &scale_, sources_)) step_.load = std::move(*placed);
}

void StepReader::read_course() {
    step_.grows_s = number("grows_s", {0.0, seconds_range.high}, "s", 0.0, false);
    const bool comes_and_goes = view_.has("on_s") || view_.has("off_s");
    step_.on_s = number("on_s", seconds_range, "s", 0.0, comes_and_goes);
    step_.off_s = number("off_s", seconds_range, "s", 0.0, comes_and_goes);
    step_.irregular = view_.flag("irregular").value_or(false);
    if (view_.has("irregular") && !comes_and_goes)
        view_.error(ErrorKind::impossible, "irregular",
                    "is of a cause that comes and goes: give on_s and off_s");
    step_.wander = number("wander", wander_range, "", 0.0, false);
}

std::optional<Step> StepReader::read() {
    const auto deed = view_.choice("do", deed_words);
    if (!deed) {
        if (!view_.has("do")) view_.missing("do", one_of(deed_words));
        return std::nullopt;
    }
    step_.deed = static_cast<Deed>(*deed);
    step_.line = view_.spot("do").line;
    std::vector<std::string_view> known = keys_of_deeds()[static_cast<std::size_t>(*deed)].keys;
    known.push_back("do");
    view_.unknown_keys(known);
    step_.speed_m_per_s = number("speed_km_h", speed_range, "km/h", 8.0, false) * km_h;
    switch (step_.deed) {
        case Deed::wait:
        case Deed::power_cut:
            step_.seconds = number("s", seconds_range, "s", 1.0, true);
            break;
        case Deed::settle:
            step_.seconds = number("s", seconds_range, "s", 60.0, false);
            break;
        case Deed::drive_on:
            if (const auto name = view_.text("vehicle")) read_vehicle("vehicle", *name);
            if (!view_.has("vehicle")) view_.missing("vehicle", "path or name of a vehicle file");
            read_heading();
            if (view_.has("front_axle_m"))
                step_.front_axle_m = number("front_axle_m", position_range, "m", 0.0, true);
            break;
        case Deed::drive_off:
        case Deed::take_off:
        case Deed::print:
        case Deed::mend:
            break;
        case Deed::put:
            read_load();
            break;
        case Deed::press:
            if (!view_.has("key")) view_.missing("key", one_of(panel_key_words));
            step_.key = view_.choice("key", panel_key_words).value_or(0);
            break;
        case Deed::corner_round: {
            const scale::Description& d = scale_.description;
            const double kg = scale::kilograms_in(d.unit);
            const Range range{d.division_kg / kg, d.max_kg / kg};
            step_.mass_kg = number("mass", range, unit_name(d.unit), 0.0, true) * kg;
            break;
        }
        case Deed::temperature:
            step_.step_K = number("step_K", step_range, "K", 0.0, true);
            step_.seconds = number("s", seconds_range, "s", 1.0, false);
            break;
        case Deed::cause:
            if (const auto words = view_.text("with")) step_.cause_words = *words;
            if (view_.has("with")) step_.line = view_.spot("with").line;
            if (!view_.has("with"))
                view_.missing("with", "a cause with its place and size, as --with takes it");
            read_course();
            break;
        case Deed::converter_fault:
            if (!view_.has("fault")) view_.missing("fault", one_of(converter_fault_words));
            step_.converter_fault = view_.choice("fault", converter_fault_words).value_or(0);
            step_.seconds = number("s", seconds_range, "s", 1.0, false);
            break;
        case Deed::trucks:
            read_vehicles();
            read_heading();
            step_.count = static_cast<int>(number("count", count_range, "", 1.0, true));
            step_.apart_s = number("apart_s", {30.0, 86'400.0}, "s", 120.0, false);
            break;
    }
    return step_;
}

SurroundingsText read_surroundings(const TableView& view) {
    SurroundingsText s;
    view.unknown_keys(names_of(session_keys(), "surroundings"));
    const auto read = [&view](std::string_view key, const Range& range, std::string_view unit,
                              double& value) {
        value = view.number(key, range, range_text(range, unit)).value_or(value);
    };
    read("temperature_C", {-40.0, 60.0}, "degrees C", s.temperature_C);
    read("day_swing_K", {0.0, 30.0}, "K", s.day_swing_K);
    read("start_h", {0.0, 24.0}, "h", s.start_h);
    read("wind_m_per_s", wind_range, "m/s", s.wind_m_per_s);
    read("mains_pickup_uV", {0.0, 1000.0}, "uV", s.mains_pickup_uV);
    read("mains_Hz", {45.0, 65.0}, "Hz", s.mains_Hz);
    return s;
}

SessionFile session_of(const toml::table& root, const ScaleFile& scale, const SheetSources& sources,
                       Findings& findings) {
    const TableView view(root, "", Spot{}, findings);
    view.unknown_keys(names_of(session_keys(), ""));
    SessionFile session;
    session.path = findings.file();
    if (const auto name = view.text("name")) {
        session.name = *name;
    } else if (!view.has("name")) {
        view.missing("name", "text in quotes");
    }
    if (const auto surroundings = view.table("surroundings", "[surroundings] "))
        session.surroundings = read_surroundings(*surroundings);
    const auto steps = view.tables("step");
    if (!view.has("step")) view.missing("step", "a list of tables, each begun by [[step]]");
    if (steps.size() > static_cast<std::size_t>(most_steps)) {
        view.error(
            ErrorKind::out_of_range, "step",
            "has " + std::to_string(steps.size()) + " steps: must be at most " + std::to_string(most_steps));
        return session;
    }
    StepOrder order;
    bool all_known = true;
    for (const TableView& table : steps) {
        const auto step = StepReader(table, scale, sources).read();
        // Behind a step that nobody knows, nobody knows what stands on the deck.
        all_known = all_known && step;
        if (all_known) order.take(*step, table);
        if (step) session.steps.push_back(*step);
    }
    return session;
}

Loaded<SessionFile> loaded_of(std::string_view text, const ScaleFile& scale, const SheetSources& sources,
                              Findings& findings) {
    SessionFile session;
    const auto root = parse_text(text, findings);
    if (root && !is_other_kind(*root, FileKind::session, findings))
        session = session_of(*root, scale, sources, findings);
    return findings.result(std::move(session));
}

}  // namespace

const std::vector<PlainKey>& session_keys() {
    static const std::vector<PlainKey> keys{
        {"", "name", "what people call it; required"},
        {"", "surroundings", "table, see below; default: a still room at 20 degrees C"},
        {"", "step",
         "the steps in their order, each begun by [[step]]; at most " + std::to_string(most_steps)},
        {"surroundings", "temperature_C", "of the air at the beginning; default 20"},
        {"surroundings", "day_swing_K", "half of what a day's warmest and coldest hour differ by; default 0"},
        {"surroundings", "start_h", "hour of the day at the beginning; default 8"},
        {"surroundings", "wind_m_per_s",
         "mean wind over the deck, with gusts; default 0; " + range_text(wind_range, "m/s")},
        {"surroundings", "mains_pickup_uV", "amplitude of the mains in the signal; default 0"},
        {"surroundings", "mains_Hz", "its frequency; default 50"},
        {"step", "do", "what happens: " + one_of(deed_words) + "; required"},
        {"step", "s",
         "wait, power cut: how long; settle: how long at most, default 60; temperature, converter fault: how "
         "long, default 1; " +
             range_text(seconds_range, "s")},
        {"step", "vehicle", "drive on: path or name of a vehicle file; the deck takes one at a time"},
        {"step", "speed_km_h", "drive on, drive off, trucks: default 8; " + range_text(speed_range, "km/h")},
        {"step", "heading", "drive on, trucks: \"right\" (default) or \"left\""},
        {"step", "front_axle_m",
         "drive on: x at which the front axle stops, counted as section_x_m; default: vehicle midway on the "
         "deck; " +
             range_text(position_range, "m")},
        {"step", "load", "put: as in a sheet, such as { mass = 1000, over = 3 }"},
        {"step", "key", "press: " + one_of(panel_key_words)},
        {"step", "mass",
         "corner round: the test weight, in the scale's unit; required; at least a division and at most Max. "
         "The round makes the box forget its corner readings, presses zero, puts the weight over one "
         "support after another, and leaves the deck without weights"},
        {"step", "step_K", "temperature: by how much the air changes; " + range_text(step_range, "K")},
        {"step", "with", "cause: name, place and size, such as \"loose-terminal cell=5 wire=S+ ohm=38\""},
        {"step", "grows_s", "cause: from nothing to its size in so long; default 0 (s)"},
        {"step", "on_s",
         "cause: it comes and goes, there for so long each time, first at once; default: it stays; " +
             range_text(seconds_range, "s")},
        {"step", "off_s", "cause: away for so long each time; required with on_s, and on_s with it"},
        {"step", "irregular",
         "cause: true: on_s and off_s are means, each time is drawn from an exponential spread; default "
         "false"},
        {"step", "wander",
         "cause: its size drifts by a factor, whose logarithm has this standard deviation after an hour, "
         "growing with the square root of time; default 0; " +
             range_text(wander_range, "")},
        {"step", "fault", "converter fault: " + one_of(converter_fault_words)},
        {"step", "count", "trucks: how many; " + range_text(count_range, "")},
        {"step", "vehicles", "trucks: list of paths or names of vehicle files, taken in turn"},
        {"step", "apart_s", "trucks: from one to the next; default 120 (s)"}};
    return keys;
}

std::string session_keys_text() {
    return "At the top of the file\n" + entries_of(session_keys(), "") + "\n[surroundings]\n" +
           entries_of(session_keys(), "surroundings") + "\n[[step]]\n" + entries_of(session_keys(), "step");
}

Loaded<SessionFile> load_session(const std::string& path, const ScaleFile& scale) {
    Findings findings(path);
    const auto text = read_text(path, findings);
    if (!text) return findings.result(SessionFile{});
    const std::string folder = std::filesystem::path(path).parent_path().string();
    return loaded_of(*text, scale, sources_beside(folder), findings);
}

Loaded<SessionFile> parse_session(std::string_view text, const std::string& path, const ScaleFile& scale,
                                  const SheetSources& sources) {
    Findings findings(path);
    return loaded_of(text, scale, sources, findings);
}

}  // namespace cornerbench::files
