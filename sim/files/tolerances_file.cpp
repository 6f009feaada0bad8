#include "sim/files/tolerances_file.h"

#include "sim/files/file_kind.h"
#include "sim/files/table_view.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

using field::PartTolerances;

constexpr Range share{0.0, 20.0};
constexpr Range drift{0.0, 1000.0};

std::string place_of_tolerance(std::string_view key) {
    for (const ToleranceKey& known : tolerance_fields()) {
        if (key == known.name) return "[tolerances]";
    }
    return "";
}

void assign(PartTolerances& to, const ToleranceKey& key, double value) {
    std::visit([&](auto member) { to.*member = value; }, key.value);
}

std::string default_of(const ToleranceKey& key) {
    if (const auto* own = std::get_if<ToleranceKey::Own>(&key.value))
        return number_text(PartTolerances{}.*(*own));
    return "what the scale's file says";
}

Loaded<PartTolerances> tolerances_of(std::string_view text, Findings& findings) {
    PartTolerances tolerances;
    const auto table = parse_text(text, findings);
    if (table && !is_other_kind(*table, FileKind::tolerances, findings)) {
        const TableView root(*table, "", Spot{}, findings);
        root.unknown_keys(names_of(tolerances_keys(), ""), &place_of_tolerance);
        if (const auto given = root.table("tolerances", "[tolerances] ")) {
            given->unknown_keys(names_of(tolerances_keys(), "tolerances"));
            for (const ToleranceKey& key : tolerance_fields()) {
                if (const auto value = given->number(key.name, key.valid, range_text(key.valid, key.unit)))
                    assign(tolerances, key, *value);
            }
        } else if (!root.has("tolerances")) {
            root.missing("tolerances", "a table [tolerances]: see 'cornerbench keys tolerances'");
        }
    }
    return findings.result(tolerances);
}

}  // namespace

const std::vector<ToleranceKey>& tolerance_fields() {
    static const std::vector<ToleranceKey> fields{
        {"rated_output_percent", &PartTolerances::rated_output_percent, share, "%", "a cell's rated output"},
        {"zero_percent", &PartTolerances::zero_percent, share, "% of rated output", "a cell's zero balance"},
        {"input_resistance_percent", &PartTolerances::input_resistance_percent, share, "%",
         "a cell's input resistance"},
        {"output_resistance_percent", &PartTolerances::output_resistance_percent, share, "%",
         "a cell's output resistance"},
        {"span_ppm_per_K", &PartTolerances::span_ppm_per_K, drift, "ppm/K",
         "a cell's temperature effect on its output; 10 where the scale's file says nothing"},
        {"zero_ppm_per_K", &PartTolerances::zero_ppm_per_K, drift, "ppm/K of rated output",
         "a cell's temperature effect on its zero; 20 where the scale's file says nothing"},
        {"cable_length_percent", &PartTolerances::cable_length_percent, share, "%",
         "length of a cable as it came with its cell, rated with it"},
        {"cable_cut_m",
         &PartTolerances::cable_cut_m,
         {0.0, 100.0},
         "m",
         "by how much cables are cut or extended on site; who lets that happen gives it"},
        {"conductor_percent", &PartTolerances::conductor_percent, share, "%",
         "ohms per metre of a cell's cable"},
        {"terminal_ohm",
         &PartTolerances::terminal_ohm,
         {0.0, 1.0},
         "ohm",
         "both excitation terminals of a cell in the box"},
        {"trim_percent", &PartTolerances::trim_percent, {0.0, 50.0}, "%", "a trim potentiometer's total"},
        {"fixed_trim_percent", &PartTolerances::fixed_trim_percent, share, "%", "a fixed trim resistor"},
        {"mixing_percent", &PartTolerances::mixing_percent, share, "%",
         "a mixing resistor, the two of a cell alike"},
        {"trim_setting_percent", &PartTolerances::trim_setting_percent, share, "% of the trim's way",
         "left over when corners are trimmed"},
        {"corner_gain_percent", &PartTolerances::corner_gain_percent, share, "%",
         "the same in a box with a channel per cell"},
        {"trim_ppm_per_K", &PartTolerances::trim_ppm_per_K, drift, "ppm/K",
         "a trim's temperature coefficient"},
        {"temperature_K",
         &PartTolerances::temperature_K,
         {0.0, 60.0},
         "K",
         "how far it gets warmer or colder than when the scale was set up"}};
    return fields;
}

const std::vector<PlainKey>& tolerances_keys() {
    static const std::vector<PlainKey> keys = [] {
        std::vector<PlainKey> all{{"", "tolerances", "table of half-widths, see below"}};
        for (const ToleranceKey& key : tolerance_fields()) {
            all.push_back({"tolerances", key.name,
                           std::string(key.meaning) + "; default " + default_of(key) + "; " +
                               range_text(key.valid, key.unit)});
        }
        return all;
    }();
    return keys;
}

std::string tolerances_keys_text() {
    return "[tolerances]\n" +
           wrapped(
               "Half-widths: a part lies evenly between minus and plus that much. Defaults are common "
               "practice, no source; a data sheet knows better.",
               2, 2) +
           entries_of(tolerances_keys(), "tolerances") +
           "\nExample: cells selected by resistance, a yard without shade\n"
           "  [tolerances]\n"
           "  output_resistance_percent = 0.1\n"
           "  temperature_K = 35\n";
}

Loaded<PartTolerances> load_tolerances(const std::string& path) {
    Findings findings(path);
    const auto text = read_text(path, findings);
    return text ? tolerances_of(*text, findings) : findings.result(PartTolerances{});
}

Loaded<PartTolerances> parse_tolerances(std::string_view text, const std::string& path) {
    Findings findings(path);
    return tolerances_of(text, findings);
}

}  // namespace cornerbench::files
