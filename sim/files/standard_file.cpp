#include "sim/files/standard_file.h"

#include <algorithm>
#include <filesystem>

#include "sim/files/file_kind.h"
#include "sim/files/findings.h"
#include "sim/files/nearest_word.h"
#include "sim/files/standard_folders.h"
#include "sim/files/standard_keys.h"
#include "sim/files/table_view.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

constexpr Range factor_range{0.01, 10.0};
constexpr Range limit_range{0.01, 1000.0};
constexpr Range supports_range{2.0, 16.0};
constexpr Range share_range{0.01, 1.0};
constexpr Range divisions_range{0.0, 1000.0};

struct KnownStandard {
    std::string_view name;
    std::string_view file;
};

constexpr std::array<KnownStandard, 3> known_standards{{{"OIML R 76", "oiml-r76.toml"},
                                                        {"NIST Handbook 44", "nist-handbook-44.toml"},
                                                        {"in-plant", "in-plant.toml"}}};

StageRule read_stage(const TableView& table) {
    table.unknown_keys(names_of(standard_keys(), "stages"));
    return {required_text(table, "word"), required_number(table, "factor", factor_range, ""),
            required_text(table, "clause")};
}

void read_stages(const TableView& top, Standard& standard) {
    constexpr std::array<std::string_view, stage_count> names{"verification", "service"};
    const auto stages = top.table("stages", "[stages] ");
    if (!stages) {
        if (!top.has("stages"))
            top.missing("stages", "the tables [stages.verification] and [stages.service]");
        return;
    }
    stages->unknown_keys({names.begin(), names.end()});
    for (unsigned i = 0; i < names.size(); ++i) {
        const auto stage = stages->table(names[i], "[stages." + std::string(names[i]) + "] ");
        if (stage) {
            standard.stages[i] = read_stage(*stage);
        } else if (!stages->has(names[i])) {
            stages->missing(names[i], "a table with word, factor and clause");
        }
    }
}

void read_corner_test(const TableView& top, Standard& standard) {
    const auto test = top.table("corner_test", "[corner_test] ");
    if (!test) {
        if (!top.has("corner_test")) top.missing("corner_test", "a table with the load of a corner test");
        return;
    }
    test->unknown_keys(names_of(standard_keys(), "corner_test"));
    standard.corner_clause = required_text(*test, "clause");
    standard.corner_spread = test->flag("spread").value_or(false);
    standard.corner_spread_by_stage = test->flag("spread_by_stage").value_or(true);
    standard.before_rounding = test->flag("before_rounding").value_or(false);
    standard.rounding_clause = test->text("rounding_clause").value_or("");
    if (test->has("share_of_max")) {
        standard.corner_rule.share_of_max = required_number(*test, "share_of_max", share_range, "");
        return;
    }
    standard.corner_rule.few_supports =
        static_cast<int>(required_number(*test, "few_supports", supports_range, "supports"));
    standard.corner_rule.few_divisor = required_number(*test, "few_divisor", {1.0, 16.0}, "");
}

/// Rules of every class that does not say otherwise.
weighing::Rules read_indicator(const TableView& top) {
    const auto table = top.table("indicator", "[indicator] ");
    weighing::Rules rules;
    if (!table) {
        if (!top.has("indicator")) top.missing("indicator", "a table with the rules for indicators");
        return rules;
    }
    table->unknown_keys(names_of(standard_keys(), "indicator"));
    required_text(*table, "clause");
    const auto divisions = [&table](std::string_view key) {
        return required_number(*table, key, divisions_range, "divisions");
    };
    rules.initial_zero_share = required_number(*table, "initial_zero_share", share_range, "");
    rules.zero_setting_share = required_number(*table, "zero_setting_share", share_range, "");
    rules.zero_light_divisions = divisions("zero_light_divisions");
    rules.tracking_divisions = divisions("tracking_divisions");
    rules.tracking_divisions_per_s =
        table->has("tracking_divisions_per_s")
            ? required_number(*table, "tracking_divisions_per_s", limit_range, "divisions/s")
            : 0.0;
    rules.motion_divisions = divisions("motion_divisions");
    if (!table->has("over_share") && !table->has("over_divisions"))
        table->missing("over_divisions", "this, over_share or both");
    rules.over_divisions = table->has("over_divisions") ? divisions("over_divisions") : 0.0;
    rules.degraded_weight = table->flag("degraded_weight").value_or(false);
    rules.over_share =
        table->has("over_share") ? required_number(*table, "over_share", share_range, "") : 0.0;
    return rules;
}

}  // namespace

const AccuracyClass* Standard::find_class(std::string_view class_name) const {
    for (const AccuracyClass& each : classes) {
        if (each.name == class_name) return &each;
    }
    return nullptr;
}

double Standard::limit_divisions(std::string_view class_name, Stage at, double load_divisions) const {
    const AccuracyClass* found = find_class(class_name);
    return found == nullptr ? 0.0 : stage(at).factor * scale::limit_divisions(found->limits, load_divisions);
}

double Standard::corner_spread_divisions(std::string_view class_name, Stage stage,
                                         double load_divisions) const {
    if (!corner_spread) return 0.0;
    const double limit = limit_divisions(class_name, stage, load_divisions);
    return corner_spread_by_stage ? limit : limit / this->stage(stage).factor;
}

weighing::Rules Standard::rules(std::string_view class_name) const {
    const AccuracyClass* found = find_class(class_name);
    return found == nullptr ? weighing::Rules{} : found->rules;
}

Loaded<Standard> parse_standard(std::string_view file_text, const std::string& path) {
    Findings findings(path);
    Standard standard;
    standard.path = path;
    const auto root = parse_text(file_text, findings);
    if (!root || is_other_kind(*root, FileKind::standard, findings))
        return findings.result(std::move(standard));
    const TableView top(*root, "", {}, findings);
    top.unknown_keys(names_of(standard_keys(), ""));
    standard.name = required_text(top, "name");
    standard.edition = required_text(top, "edition");
    read_stages(top, standard);
    read_corner_test(top, standard);
    const weighing::Rules rules = read_indicator(top);
    standard.tests = read_tests(top);
    standard.modules = read_modules(top);
    if (!top.has("class")) top.missing("class", "at least one table [[class]] with name, clause and bands");
    for (const TableView& table : top.tables("class")) {
        table.unknown_keys(names_of(standard_keys(), "class"));
        AccuracyClass& read = standard.classes.emplace_back();
        read.name = required_text(table, "name");
        read.clause = required_text(table, "clause");
        read_bands(table, read.limits);
        read.rules = rules;
        read.sizes = read_sizes(table);
        read.cell_classes = read_words(table, "cell_classes");
        if (table.has("tracking_divisions"))
            read.rules.tracking_divisions =
                required_number(table, "tracking_divisions", divisions_range, "divisions");
    }
    return findings.result(std::move(standard));
}

Loaded<Standard> load_standard(const std::string& path) {
    Findings findings(path);
    const auto read = read_text(path, findings);
    if (!read) return findings.result(Standard{});
    return parse_standard(*read, path);
}

std::string_view standard_file_name(std::string_view standard) {
    for (const KnownStandard& known : known_standards) {
        if (known.name == standard) return known.file;
    }
    return {};
}

Loaded<Standard> find_standard(std::string_view name, const std::string& scale_path) {
    const std::string_view file = standard_file_name(name);
    if (const auto path = nearest_standard_file(file, scale_path)) return load_standard(*path);
    Loaded<Standard> copy = parse_standard(compiled_in_standard(file), "the copy inside the program");
    if (copy.value) copy.value->path.clear();
    return copy;
}

Loaded<Standard> choose_standard(const std::string& asked, const std::string& scale_path) {
    namespace fs = std::filesystem;
    std::error_code ignored;
    if (fs::is_regular_file(asked, ignored)) return load_standard(asked);
    if (!standard_file_name(asked).empty()) return find_standard(asked, scale_path);
    for (const KnownStandard& known : known_standards) {
        if (asked + ".toml" == known.file) return find_standard(known.name, scale_path);
    }
    std::vector<std::string> names;
    for (const KnownStandard& known : known_standards) names.emplace_back(known.name);
    for (const fs::path& folder : standard_folders(scale_path)) {
        for (fs::directory_iterator it(folder, ignored), end; !ignored && it != end; it.increment(ignored)) {
            if (it->path().extension() != ".toml" || it->path().filename() == cell_standard_file_name)
                continue;
            if (it->path().stem() == asked) return load_standard(it->path().string());
            names.push_back(it->path().stem().string());
        }
    }
    std::sort(names.begin(), names.end());
    names.erase(std::unique(names.begin(), names.end()), names.end());
    Findings findings(asked);
    findings.error(
        ErrorKind::unreadable, {},
        "is no file and no standard's name; " + nearest_or_all(asked, {names.begin(), names.end()}));
    return findings.result(Standard{});
}

Loaded<Standard> standard_of(const ScaleFile& scale) {
    return scale.local_standard.empty() ? find_standard(scale.standard, scale.path)
                                        : choose_standard(scale.local_standard, scale.path);
}

}  // namespace cornerbench::files
