#include "sim/files/standard_rules.h"

#include <algorithm>
#include <array>

#include "sim/files/standard_keys.h"

namespace cornerbench::files {

namespace {

constexpr Range count_range{1.0, 100.0};
constexpr Range divisions_range{0.0, 1.0e6};
constexpr Range share_range{0.001, 1.0};
constexpr Range factor_range{0.01, 10.0};
constexpr Range mass_range{0.0, 1.0e6};
constexpr Range capacity_range{1.0, 1.0e6};
constexpr Range minutes_range{0.0, 1440.0};
constexpr Range edge_range{1.0, 1.0e6};
constexpr Range limit_range{0.01, 1000.0};
constexpr int most_list_entries = 10;

std::optional<TableView> rule_table(const TableView& tests, std::string_view name) {
    auto table = tests.table(name, "[tests." + std::string(name) + "] ");
    if (table) table->unknown_keys(names_of(standard_keys(), "tests." + std::string(name)));
    return table;
}

double optional_number(const TableView& table, std::string_view key, const Range& range,
                       std::string_view unit, double otherwise) {
    return table.has(key) ? required_number(table, key, range, unit) : otherwise;
}

int whole(const TableView& table, std::string_view key) {
    const std::string valid = "a whole number " + range_text(count_range, "");
    if (!table.has(key)) table.missing(key, valid);
    return static_cast<int>(table.integer(key, count_range, valid).value_or(1));
}

std::vector<double> shares(const TableView& table, std::string_view key) {
    std::vector<double> read;
    const std::string valid = "a list of shares of max, each " + range_text(share_range, "");
    const toml::node* node = table.node(key);
    if (node == nullptr) {
        table.missing(key, valid);
        return read;
    }
    const toml::array* list = node->as_array();
    if (list == nullptr || list->empty() || list->size() > most_list_entries) {
        table.error(ErrorKind::wrong_type, key, "must be " + valid + ", at most 10");
        return read;
    }
    for (const toml::node& each : *list) {
        const auto number = read_number(each, spot_of(each, table.label() + std::string(key)), share_range,
                                        range_text(share_range, ""), table.findings());
        if (number) read.push_back(*number);
    }
    return read;
}

RepeatabilityRule read_repeatability(const TableView& table) {
    RepeatabilityRule rule;
    rule.clause = required_text(table, "clause");
    rule.times = whole(table, "times");
    rule.shares = shares(table, "shares");
    rule.spread_limits = required_number(table, "spread_limits", factor_range, "");
    rule.by_stage = table.flag("by_stage").value_or(true);
    return rule;
}

ZeroReturnRule read_zero_return(const TableView& table) {
    ZeroReturnRule rule;
    rule.clause = required_text(table, "clause");
    rule.limit_divisions = optional_number(table, "limit_divisions", divisions_range, "divisions", 0.0);
    rule.smallest_limits = optional_number(table, "smallest_limits", factor_range, "", 0.0);
    rule.loaded_min = optional_number(table, "loaded_min", minutes_range, "min", 0.0);
    if (table.has("limit_divisions") == table.has("smallest_limits"))
        table.missing("limit_divisions", "either this or smallest_limits");
    return rule;
}

/// Masses of a row are in the unit that it names; nothing without a known one.
std::optional<SubstitutionRule::ByCapacity> read_capacity(const TableView& row) {
    constexpr std::array<std::string_view, 2> units{"kg", "lb"};
    row.unknown_keys(names_of(standard_keys(), "tests.substitution.by_capacity"));
    if (!row.has("unit")) row.missing("unit", one_of(units));
    const auto chosen = row.choice("unit", units);
    if (!chosen) return std::nullopt;
    SubstitutionRule::ByCapacity read;
    read.pounds = *chosen == 1;
    const std::string unit(units[static_cast<unsigned>(*chosen)]);
    const double unit_kg = read.pounds ? scale::kilograms_per_pound : 1.0;
    read.up_to_kg = unit_kg * optional_number(row, "up_to", capacity_range, unit, 0.0);
    read.own_share = required_number(row, "own_share", share_range, "");
    read.own_least_kg = unit_kg * optional_number(row, "own_least", mass_range, unit, 0.0);
    read.test_load_share = required_number(row, "test_load_share", share_range, "");
    read.test_load_least_kg = unit_kg * optional_number(row, "test_load_least", mass_range, unit, 0.0);
    return read;
}

void read_capacities(const TableView& table, SubstitutionRule& rule) {
    for (const TableView& row : table.tables("by_capacity")) {
        const auto read = read_capacity(row);
        if (!read) continue;
        for (const auto& before : rule.by_capacity) {
            const bool rises =
                before.up_to_kg > 0.0 && (read->up_to_kg == 0.0 || read->up_to_kg > before.up_to_kg);
            if (before.pounds == read->pounds && !rises)
                row.error(ErrorKind::out_of_range, "up_to",
                          "must lie above that of the row before it; only a unit's last row has none");
        }
        rule.by_capacity.push_back(*read);
    }
}

SubstitutionRule read_substitution(const TableView& table) {
    SubstitutionRule rule;
    rule.clause = required_text(table, "clause");
    rule.own_share = required_number(table, "own_share", share_range, "");
    rule.own_least_kg = optional_number(table, "own_least_kg", mass_range, "kg", 0.0);
    rule.test_load_share = optional_number(table, "test_load_share", share_range, "", 1.0);
    rule.test_load_least_kg = optional_number(table, "test_load_least_kg", mass_range, "kg", 0.0);
    read_capacities(table, rule);
    for (const TableView& less : table.tables("relaxed")) {
        less.unknown_keys(names_of(standard_keys(), "tests.substitution.relaxed"));
        rule.relaxed.push_back(
            {required_number(less, "repeatability_divisions", divisions_range, "divisions"),
             required_number(less, "own_share", share_range, "")});
    }
    return rule;
}

}  // namespace

SubstitutionRule SubstitutionRule::of(const scale::Description& description) const {
    constexpr double slack = 1.0e-9;
    const bool pounds = description.unit == scale::MassUnit::pound;
    SubstitutionRule rule = *this;
    for (const ByCapacity& each : by_capacity) {
        const bool holds = each.up_to_kg == 0.0 || description.max_kg <= each.up_to_kg * (1.0 + slack);
        if (each.pounds != pounds || !holds) continue;
        rule.own_share = each.own_share;
        rule.own_least_kg = each.own_least_kg;
        rule.test_load_share = each.test_load_share;
        rule.test_load_least_kg = each.test_load_least_kg;
        break;
    }
    return rule;
}

double SubstitutionRule::least_weights_kg(double max_kg, double repeatability_divisions) const {
    return std::max(least_own_share(repeatability_divisions) * max_kg, own_least_kg);
}

double SubstitutionRule::least_test_load_kg(double max_kg) const {
    return std::min(max_kg, std::max(test_load_share * max_kg, test_load_least_kg));
}

double SubstitutionRule::least_own_share(double repeatability_divisions) const {
    double share = own_share;
    for (const Relaxed& each : relaxed) {
        if (repeatability_divisions <= each.repeatability_divisions && each.own_share < share)
            share = each.own_share;
    }
    return share;
}

double required_number(const TableView& table, std::string_view key, const Range& range,
                       std::string_view unit) {
    const std::string valid = "a number " + range_text(range, unit);
    if (!table.has(key)) table.missing(key, valid);
    return table.number(key, range, valid).value_or(range.low);
}

std::string required_text(const TableView& table, std::string_view key) {
    if (!table.has(key)) table.missing(key, "a text");
    return table.text(key).value_or("");
}

void read_bands(const TableView& table, scale::LimitTable& limits) {
    const std::string valid = "a list of tables { up_to, limit } with rising edges";
    if (!table.has("bands")) table.missing("bands", valid);
    double last_edge = 0.0;
    for (const TableView& band : table.tables("bands")) {
        band.unknown_keys(names_of(standard_keys(), "class.bands"));
        if (limits.count == scale::max_limit_bands) {
            table.error(ErrorKind::out_of_range, "bands",
                        "at most " + std::to_string(scale::max_limit_bands) + " bands");
            return;
        }
        const scale::LimitBand read{required_number(band, "up_to", edge_range, "divisions"),
                                    required_number(band, "limit", limit_range, "divisions")};
        if (read.upper_edge <= last_edge) {
            band.error(ErrorKind::out_of_range, "up_to", "each edge must lie above the one before it");
        }
        last_edge = read.upper_edge;
        limits.bands[static_cast<unsigned>(limits.count++)] = read;
    }
    if (const auto further = table.table("further", table.label() + "further.")) {
        further->unknown_keys(names_of(standard_keys(), "class.further"));
        limits.further_edge = required_number(*further, "every", edge_range, "divisions");
        limits.further_limit = required_number(*further, "limit", limit_range, "divisions");
    }
}

std::vector<std::string> read_words(const TableView& table, std::string_view key) {
    std::vector<std::string> words;
    const toml::node* node = table.node(key);
    if (node == nullptr) return words;
    const toml::array* list = node->as_array();
    bool good = list != nullptr && list->size() <= most_list_entries;
    for (std::size_t i = 0; good && i < list->size(); ++i) {
        const auto word = (*list)[i].value_exact<std::string>();
        good = word.has_value() && !word->empty();
        if (good) words.push_back(*word);
    }
    if (!good) table.error(ErrorKind::wrong_type, key, "must be a list of texts, at most 10");
    return words;
}

SizeRule read_sizes(const TableView& class_table) {
    SizeRule rule;
    const auto table = class_table.table("sizes", class_table.label() + "sizes.");
    if (!table) return rule;
    table->unknown_keys(names_of(standard_keys(), "class.sizes"));
    rule.clause = required_text(*table, "clause");
    rule.least_divisions = optional_number(*table, "least_divisions", divisions_range, "divisions", 0.0);
    rule.most_divisions = optional_number(*table, "most_divisions", divisions_range, "divisions", 0.0);
    rule.least_division_kg = optional_number(*table, "least_division_kg", mass_range, "kg", 0.0);
    rule.least_load_divisions =
        optional_number(*table, "least_load_divisions", divisions_range, "divisions", 0.0);
    if (rule.most_divisions > 0.0 && rule.least_divisions > rule.most_divisions)
        table->error(ErrorKind::impossible, "most_divisions", "must be least_divisions or more");
    return rule;
}

TestRules read_tests(const TableView& top) {
    TestRules rules;
    const auto tests = top.table("tests", "[tests] ");
    if (!tests) return rules;
    tests->unknown_keys(
        {"weighing", "repeatability", "zero_return", "discrimination", "substitution", "section", "rolling"});
    if (const auto table = rule_table(*tests, "weighing")) {
        rules.weighing = WeighingTestRule{required_text(*table, "clause"), whole(*table, "fewest_loads"),
                                          table->flag("decreasing").value_or(false)};
    }
    if (const auto table = rule_table(*tests, "repeatability"))
        rules.repeatability = read_repeatability(*table);
    if (const auto table = rule_table(*tests, "zero_return")) rules.zero_return = read_zero_return(*table);
    if (const auto table = rule_table(*tests, "discrimination")) {
        rules.discrimination =
            DiscriminationRule{required_text(*table, "clause"),
                               required_number(*table, "extra_divisions", factor_range, "divisions"),
                               required_number(*table, "change_divisions", factor_range, "divisions"),
                               table->flag("one_back").value_or(true)};
    }
    if (const auto table = rule_table(*tests, "substitution")) rules.substitution = read_substitution(*table);
    if (const auto table = rule_table(*tests, "section")) {
        rules.section = SectionRule{required_text(*table, "clause"),
                                    required_number(*table, "pattern_m", factor_range, "m"),
                                    required_number(*table, "most_width_m", factor_range, "m"),
                                    required_number(*table, "clc_share", share_range, ""),
                                    required_number(*table, "sections_less", share_range, "")};
    }
    if (const auto table = rule_table(*tests, "rolling")) {
        rules.rolling_clause = required_text(*table, "clause");
        rules.rolling_share = required_number(*table, "share", share_range, "");
    }
    return rules;
}

std::optional<ModuleRule> read_modules(const TableView& top) {
    const auto table = top.table("modules", "[modules] ");
    if (!table) return std::nullopt;
    table->unknown_keys(names_of(standard_keys(), "modules"));
    ModuleRule rule;
    rule.clause = required_text(*table, "clause");
    rule.certificates_clause = table->text("certificates_clause").value_or("common practice, no source");
    rule.cell_share = optional_number(*table, "cell_share", share_range, "", rule.cell_share);
    rule.indicator_share = optional_number(*table, "indicator_share", share_range, "", rule.indicator_share);
    rule.cable_share = optional_number(*table, "cable_share", share_range, "", rule.cable_share);
    rule.load_factor = table->flag("load_factor").value_or(false);
    rule.cell_standard = table->text("cell_standard").value_or("");
    rule.return_divisions = optional_number(*table, "return_divisions", factor_range, "divisions", 0.0);
    return rule;
}

}  // namespace cornerbench::files
