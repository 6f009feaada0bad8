#include "sim/files/test_sheet.h"

#include <algorithm>
#include <cctype>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <sstream>

#include "sim/files/file_kind.h"
#include "sim/files/mass_unit.h"
#include "sim/files/nearest_word.h"
#include "sim/files/shown_words.h"
#include "sim/files/table_view.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

constexpr std::array<std::string_view, 2> stage_words{"verification", "service"};
constexpr std::array<std::string_view, 2> direction_words{"increasing", "decreasing"};
constexpr Range percent_range{0.0, 10.0};
constexpr Range divisions_range{0.001, 100.0};
constexpr Range placing_range{0.0, 5.0};
constexpr Range trim_range{0.0, 1.0e7};
constexpr Range temperature_range{-60.0, 90.0};
constexpr double most_times_max = 10.0;
/// Small weights that do not move the display yet are less than one division; half of one more is for noise
/// and for steps of the weights.
constexpr double most_added_divisions = 1.5;
/// Rounding of a file's numbers, in divisions.
constexpr double nearly_whole = 1.0e-6;
constexpr std::size_t most_lines = 2000;

struct PlaceWord {
    std::string_view word;
    PlaceKind kind;
};

constexpr PlaceWord numbered_places[] = {{"support", PlaceKind::support},
                                         {"section", PlaceKind::section},
                                         {"midspan", PlaceKind::midspan},
                                         {"pattern", PlaceKind::pattern},
                                         {"rolling", PlaceKind::rolling}};

int places_of(PlaceKind kind, const scale::Description& d) {
    if (kind == PlaceKind::support) return d.cell_count();
    if (kind == PlaceKind::rolling) return rolling_places;
    return kind == PlaceKind::midspan ? d.deck.sections - 1 : d.deck.sections;
}

std::string valid_places(const scale::Description& d) {
    return "\"empty\", \"spread\", \"support 1\" to \"support " + std::to_string(d.cell_count()) +
           "\", \"section 1\" to \"section " + std::to_string(d.deck.sections) +
           "\", \"midspan 1\" to \"midspan " + std::to_string(d.deck.sections - 1) +
           "\", \"pattern 1\" to \"pattern " + std::to_string(d.deck.sections) +
           "\", or \"rolling 1\" to \"rolling " + std::to_string(rolling_places) + "\"";
}

std::optional<TestPlace> read_place(const std::string& text, const scale::Description& d) {
    if (text == "empty") return TestPlace{};
    if (text == "spread") return TestPlace{PlaceKind::spread, 0};
    std::istringstream words(text);
    std::string word;
    int number = 0;
    if (!(words >> word >> number) || !(words >> std::ws).eof()) return std::nullopt;
    for (const PlaceWord& each : numbered_places) {
        if (each.word == word && number >= 1 && number <= places_of(each.kind, d))
            return TestPlace{each.kind, number - 1};
    }
    return std::nullopt;
}

class LineReader {
  public:
    LineReader(const TableView& view, const scale::Description& d)
        : view_(view), d_(d), unit_kg_(scale::kilograms_in(d.unit)) {}

    TestLine read() {
        view_.unknown_keys(names_of(test_sheet_keys(), "line"));
        line_.line = view_.header().line;
        if (!view_.has("test")) view_.missing("test", one_of(test_words));
        if (const auto test = view_.choice("test", test_words)) line_.test = static_cast<TestKind>(*test);
        read_where();
        if (const auto way = view_.choice("direction", direction_words)) line_.decreasing = *way == 1;
        if (const auto shown = view_.choice("shown", shown_instead))
            line_.shown = static_cast<diagnosis::Shown>(*shown + 1);
        line_.indication_kg = reading("indication");
        line_.added_kg = reading("added");
        line_.after_kg = reading("after");
        check_shown("indication", line_.indication_kg);
        check_shown("after", line_.after_kg);
        line_.note = view_.text("note").value_or("");
        check();
        return line_;
    }

  private:
    std::optional<double> mass(std::string_view key, double low_kg, double high_kg) {
        const Range range{low_kg / unit_kg_, high_kg / unit_kg_};
        const auto number = view_.number(key, range, range_text(range, unit_name(d_.unit)));
        return number ? std::optional(*number * unit_kg_) : std::nullopt;
    }

    /// A number, or "" while it is still to be read.
    std::optional<double> reading(std::string_view key) {
        const toml::node* node = view_.node(key);
        if (node == nullptr) return std::nullopt;
        if (const auto text = node->value_exact<std::string>(); text && text->empty()) return std::nullopt;
        const double most = most_times_max * d_.max_kg;
        return mass(key, key == "added" ? 0.0 : -most, most);
    }

    void read_where() {
        const bool empty_by_kind = line_.test == TestKind::zero || line_.test == TestKind::zero_return;
        if (!view_.has("place")) {
            place_known_ = empty_by_kind;
            if (!empty_by_kind) view_.missing("place", valid_places(d_));
        } else if (const auto text = view_.text("place")) {
            const auto place = read_place(*text, d_);
            if (place) {
                line_.place = *place;
            } else {
                place_known_ = false;
                view_.error(ErrorKind::out_of_range, "place", "must be " + valid_places(d_));
            }
        }
        const bool loaded = line_.place.kind != PlaceKind::empty;
        if (loaded && !view_.has("load"))
            view_.missing("load", "the mass that stands there, in " + std::string(unit_name(d_.unit)));
        line_.load_kg = mass("load", 0.0, 2.0 * d_.max_kg).value_or(0.0);
        line_.substitute_kg = mass("substitute", 0.0, 2.0 * d_.max_kg).value_or(0.0);
    }

    void check() {
        if (place_known_ && line_.place.kind == PlaceKind::empty && line_.load_kg > 0.0)
            view_.error(ErrorKind::impossible, "load",
                        "an empty deck carries nothing: must be left out or 0");
        if (line_.place.kind != PlaceKind::empty && view_.has("load") && !(line_.load_kg > 0.0))
            view_.error(ErrorKind::out_of_range, "load", "must be above 0 where something stands");
        if (line_.substitute_kg > line_.load_kg * (1.0 + 1.0e-9))
            view_.error(ErrorKind::impossible, "substitute", "is a part of load: must be at most as much");
        line_.substitute_kg = std::min(line_.substitute_kg, line_.load_kg);
        if (line_.shown != diagnosis::Shown::value && line_.indication_kg)
            view_.error(ErrorKind::impossible, "shown",
                        "stands in place of an indication: must be one of them");
        if (line_.added_kg && !line_.indication_kg)
            view_.error(ErrorKind::impossible, "added", "needs the indication before the weights were added");
        if (line_.added_kg && line_.indication_kg) check_added();
        if (line_.after_kg && line_.test != TestKind::discrimination)
            view_.error(ErrorKind::impossible, "after", "belongs to a test of discrimination");
    }

    /// A display shows whole divisions, on a multi-interval scale those of the weight's own range.
    void check_shown(std::string_view key, const std::optional<double>& kg) {
        if (!kg) return;
        const double division_kg = d_.division_at_kg(*kg);
        const double divisions = *kg / division_kg;
        if (std::fabs(divisions - std::round(divisions)) <= nearly_whole) return;
        const auto text = [&](double whole) { return number_text(whole * division_kg / unit_kg_ + 0.0); };
        view_.error(ErrorKind::out_of_range, key,
                    "no display shows that by divisions of " + number_text(division_kg / unit_kg_) + " " +
                        std::string(unit_name(d_.unit)) + ": must be a whole number of them, next to it " +
                        text(std::floor(divisions)) + " or " + text(std::ceil(divisions)));
    }

    void check_added() {
        const double most_kg = most_added_divisions * d_.division_at_kg(std::fabs(*line_.indication_kg));
        if (*line_.added_kg <= most_kg * (1.0 + 1.0e-9)) return;
        view_.error(ErrorKind::out_of_range, "added",
                    "with so much the display has gone up by more than one division: must be " +
                        range_text({0.0, most_kg / unit_kg_}, unit_name(d_.unit)));
    }

    const TableView& view_;
    const scale::Description& d_;
    double unit_kg_ = 1.0;
    bool place_known_ = true;
    TestLine line_;
};

void read_scale(const TableView& root, const std::string& folder, TestSheet& sheet, bool& usable) {
    const auto name = root.text("scale");
    if (!root.has("scale")) root.missing("scale", "the path of a scale file, from this sheet's folder");
    if (!name) return;
    sheet.scale_path = *name;
    Loaded<ScaleFile> loaded =
        load_scale((std::filesystem::path(folder) / *name).lexically_normal().string());
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

void read_date(const TableView& root, TestSheet& sheet) {
    const toml::node* node = root.node("date");
    if (node == nullptr) return;
    std::ostringstream text;
    if (const auto date = node->value_exact<toml::date>()) {
        text << *date;
    } else if (const auto word = node->value_exact<std::string>()) {
        text << *word;
    }
    sheet.date = text.str();
    if (!sheet.date.empty() && is_date(sheet.date)) return;
    if (node->value_exact<std::string>() && sheet.date.empty()) return;
    root.error(ErrorKind::out_of_range, "date",
               "must be a day of the calendar, year first, such as 2026-11-29");
    sheet.date.clear();
}

std::string optional_text(const TableView& root, std::string_view key) {
    const toml::node* node = root.node(key);
    if (node == nullptr) return "";
    if (const auto text = node->value_exact<std::string>(); text && text->empty()) return "";
    return root.text(key).value_or("");
}

/// Given, and not left open as "".
bool is_filled(const TableView& root, std::string_view key) {
    const toml::node* node = root.node(key);
    if (node == nullptr) return false;
    const auto text = node->value_exact<std::string>();
    return !text || !text->empty();
}

void read_uncertainties(const TableView& root, TestSheet& sheet) {
    const auto view = root.table("uncertainty", "[uncertainty] ");
    if (!view) return;
    view->unknown_keys(names_of(test_sheet_keys(), "uncertainty"));
    TestUncertainties& u = sheet.uncertainties;
    const auto set = [&](std::string_view key, const Range& range, std::string_view unit, double si,
                         double& to) {
        if (const auto number = view->number(key, range, range_text(range, unit))) to = *number * si;
    };
    set("test_weights_percent", percent_range, "%", 0.01, u.weights);
    set("repeatability_d", divisions_range, "divisions", 1.0, u.repeatability_divisions);
    set("placing_m", placing_range, "m", 1.0, u.placing_m);
    set("added_step_d", divisions_range, "divisions", 1.0, u.added_step_divisions);
}

TrimDone read_trim(const TableView& view, const scale::Description& d) {
    view.unknown_keys(names_of(test_sheet_keys(), "trim"));
    const Range supports{1.0, static_cast<double>(d.cell_count())};
    const std::string valid = "a whole number " + range_text(supports, "");
    TrimDone trim;
    if (!view.has("support")) view.missing("support", valid);
    trim.support = static_cast<int>(view.integer("support", supports, valid).value_or(1)) - 1;
    const auto position = [&](std::string_view key) {
        if (!view.has(key)) view.missing(key, range_text(trim_range, "turns, ohm or gain"));
        return view.number(key, trim_range, range_text(trim_range, "turns, ohm or gain")).value_or(0.0);
    };
    trim.from = position("from");
    trim.to = position("to");
    trim.note = view.text("note").value_or("");
    return trim;
}

TestSheet sheet_of(const toml::table& table, Findings& findings) {
    const TableView root(table, "", Spot{}, findings);
    root.unknown_keys(names_of(test_sheet_keys(), ""));
    TestSheet sheet;
    sheet.path = findings.file();
    bool scale_usable = false;
    read_scale(root, std::filesystem::path(findings.file()).parent_path().string(), sheet, scale_usable);
    sheet.standard = optional_text(root, "standard");
    if (const auto stage = root.choice("stage", stage_words)) sheet.stage = static_cast<Stage>(*stage);
    read_date(root, sheet);
    sheet.simulated = root.flag("simulated").value_or(false);
    sheet.site = optional_text(root, "site");
    sheet.by = optional_text(root, "by");
    sheet.serial = optional_text(root, "serial");
    sheet.weights_certificate = optional_text(root, "weights_certificate");
    if (is_filled(root, "temperature_C"))
        sheet.temperature_C =
            root.number("temperature_C", temperature_range, range_text(temperature_range, "C"));
    read_uncertainties(root, sheet);
    if (!scale_usable) return sheet;
    const scale::Description& d = sheet.scale.description;
    const double unit_kg = scale::kilograms_in(d.unit);
    const Range weights{0.0, 10.0 * d.max_kg / unit_kg};
    if (const auto mass = root.number("weights", weights, range_text(weights, unit_name(d.unit))))
        sheet.weights_kg = *mass * unit_kg;
    for (const TableView& view : root.tables("trim")) sheet.trims.push_back(read_trim(view, d));
    const auto lines = root.tables("line");
    if (lines.size() > most_lines) {
        root.error(ErrorKind::out_of_range, "line", "at most " + std::to_string(most_lines) + " lines");
        return sheet;
    }
    for (const TableView& view : lines) sheet.lines.push_back(LineReader(view, d).read());
    return sheet;
}

Loaded<TestSheet> loaded_of(std::string_view text, Findings& findings) {
    TestSheet sheet;
    const auto root = parse_text(text, findings);
    if (root && !is_other_kind(*root, FileKind::test_sheet, findings)) sheet = sheet_of(*root, findings);
    return findings.result(std::move(sheet));
}

}  // namespace

bool is_date(const std::string& text) {
    if (text.size() != 10) return false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const bool dash = i == 4 || i == 7;
        if (dash ? text[i] != '-' : std::isdigit(static_cast<unsigned char>(text[i])) == 0) return false;
    }
    return std::chrono::year_month_day(
               std::chrono::year(std::stoi(text.substr(0, 4))),
               std::chrono::month(static_cast<unsigned>(std::stoi(text.substr(5, 2)))),
               std::chrono::day(static_cast<unsigned>(std::stoi(text.substr(8, 2)))))
        .ok();
}

std::string place_text(const TestPlace& place) {
    if (place.kind == PlaceKind::empty) return "empty";
    if (place.kind == PlaceKind::spread) return "spread";
    for (const PlaceWord& each : numbered_places)
        if (each.kind == place.kind) return std::string(each.word) + " " + std::to_string(place.index + 1);
    return "empty";
}

const std::vector<PlainKey>& test_sheet_keys() {
    static const std::vector<PlainKey> keys{
        {"", "scale", "path of the scale's file, from this sheet's folder; required"},
        {"", "standard", "whose limits hold, a name or a file; default: the scale's"},
        {"", "stage", one_of(stage_words) + "; default \"verification\""},
        {"", "date", "of the tests, year first: 2026-11-29"},
        {"", "simulated", "true: made up by a simulated day, which the record then says; default false"},
        {"", "site", "where the scale stands, in words"},
        {"", "by", "who made the tests"},
        {"", "serial", "serial number of the scale or of its indicator"},
        {"", "temperature_C", "of the air during the tests; " + range_text(temperature_range, "C")},
        {"", "weights_certificate", "certificate of the test weights: number and date"},
        {"", "weights", "mass of all test weights on site, in the scale's unit"},
        {"", "uncertainty", "standard uncertainties of the day; optional"},
        {"", "line", "the readings in the order they are taken, each begun by [[line]]"},
        {"", "trim", "corners that were adjusted, each begun by [[trim]]; optional"},
        {"trim", "support", "whose corner; required"},
        {"trim", "from", "position before, in turns, ohm or as a gain; required"},
        {"trim", "to", "position afterwards; required"},
        {"trim", "note", "anything worth telling"},
        {"uncertainty", "test_weights_percent",
         "of the test weights; default 0.003; " + range_text(percent_range, "%")},
        {"uncertainty", "repeatability_d",
         "of one weighing, counted like ten beside those of the repeatability lines; default 0.05; " +
             range_text(divisions_range, "divisions")},
        {"uncertainty", "placing_m",
         "where a load stood, each way; default 0.058; " + range_text(placing_range, "m")},
        {"uncertainty", "added_step_d",
         "of the small weights; default 0.1; " + range_text(divisions_range, "divisions")},
        {"line", "test", one_of(test_words) + "; required"},
        {"line", "place",
         "\"empty\", \"spread\", \"support n\", \"section n\", \"midspan n\", \"pattern n\" (a test pattern "
         "at "
         "section n) or \"rolling n\" (on wheels: 1 at the left end, 2 in the middle, 3 at the right); "
         "required where something stands"},
        {"line", "load", "mass that stands there, in the scale's unit; required where something stands"},
        {"line", "substitute", "the part of load that is no test weight, by its nominal mass; default 0"},
        {"line", "direction", one_of(direction_words) + "; default \"increasing\""},
        {"line", "indication", "what is shown, a whole number of divisions; \"\" until it is read"},
        {"line", "added",
         "small weights added until the display went up by one division, in the scale's unit, at most one "
         "and a "
         "half of it; \"\" for none"},
        {"line", "after", "discrimination: what is shown with the extra load on; \"\" until it is read"},
        {"line", "shown", "in place of an indication: " + one_of(shown_instead)},
        {"line", "note", "anything worth telling"}};
    return keys;
}

std::string test_sheet_keys_text() {
    return "At the top of the file\n" + entries_of(test_sheet_keys(), "") + "\n[uncertainty]\n" +
           entries_of(test_sheet_keys(), "uncertainty") + "\n[[trim]]\n" +
           entries_of(test_sheet_keys(), "trim") + "\n[[line]]\n" + entries_of(test_sheet_keys(), "line");
}

Loaded<TestSheet> load_test_sheet(const std::string& path) {
    Findings findings(path);
    const auto text = read_text(path, findings);
    return text ? loaded_of(*text, findings) : findings.result(TestSheet{});
}

Loaded<TestSheet> parse_test_sheet(std::string_view text, const std::string& path) {
    Findings findings(path);
    return loaded_of(text, findings);
}

}  // namespace cornerbench::files
