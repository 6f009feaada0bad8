#include "sim/files/scale_checks.h"

#include <cmath>
#include <cstddef>
#include <iterator>

#include "firmware/weighing/gravity.h"
#include "sim/files/mass_unit.h"
#include "sim/files/range.h"

namespace cornerbench::files {

namespace {

/// A signal shunt below this leaves next to nothing of a bridge's signal: a slip, not a trim.
constexpr double least_shunt_ohm = 100.0;

std::string masses_text(double kg, scale::MassUnit unit) {
    return grouped_text(kg / scale::kilograms_in(unit)) + " " + std::string(unit_name(unit));
}

/// Cells that the reader has filled: all it can hold while the sections are unknown.
int cells_read(const scale::Description& description) {
    return description.deck.sections > 0 ? description.cell_count() : scale::max_cells;
}

/// Nearest valid divisions on either side of `division`: 1, 2 or 5 times a power of ten (OIML R 76-1:2006,
/// 3.2.1; NIST Handbook 44 asks the same).
struct DivisionCheck {
    bool valid = false;
    double below = 0.0;
    double above = 0.0;
};

DivisionCheck check_division_steps(double division) {
    DivisionCheck check;
    const double decade = std::pow(10.0, std::floor(std::log10(division)));
    for (const double step : {0.5, 1.0, 2.0, 5.0, 10.0}) {
        const double candidate = step * decade;
        if (std::fabs(division / candidate - 1.0) < 1.0e-9) check.valid = true;
        if (candidate <= division) check.below = candidate;
        if (candidate >= division && check.above == 0.0) check.above = candidate;
    }
    return check;
}

void check_division(const ScaleFile& file, const KeyRecord& record, Findings& findings) {
    if (!record.usable("division") || !record.usable("unit")) return;
    const double division = file.description.division_kg / scale::kilograms_in(file.description.unit);
    const DivisionCheck steps = check_division_steps(division);
    if (!steps.valid) {
        findings.error(ErrorKind::out_of_range, record.spot("division"),
                       "must be 1, 2 or 5 times a power of ten; nearest are " + number_text(steps.below) +
                           " and " + number_text(steps.above));
    }
    if (record.usable("max") && file.description.division_kg >= file.description.max_kg) {
        findings.error(ErrorKind::impossible, record.spot("division"),
                       "must be below max, " + masses_text(file.description.max_kg, file.description.unit));
    }
}

bool is_whole(double times) {
    return std::fabs(times - std::round(times)) <= 1.0e-9 * std::fabs(times);
}

/// One finer range of a multi-interval scale against the next coarser one. False when something is wrong.
bool check_finer(std::string_view table, const scale::PartialRange& range, const scale::PartialRange& coarser,
                 scale::MassUnit unit, const KeyRecord& record, Findings& findings) {
    const std::string up_to = std::string(table) + ".up_to";
    const std::string division = std::string(table) + ".division";
    const auto wrong = [&](const std::string& key, const std::string& why) {
        findings.error(ErrorKind::impossible, record.spot(key), why);
        return false;
    };
    if (!check_division_steps(range.division_kg / scale::kilograms_in(unit)).valid)
        return wrong(division, "must be 1, 2 or 5 times a power of ten");
    if (range.division_kg >= coarser.division_kg)
        return wrong(division,
                     "must be below the next coarser division, " + masses_text(coarser.division_kg, unit));
    if (range.max_kg >= coarser.max_kg)
        return wrong(up_to,
                     "must be below the end of the next coarser range, " + masses_text(coarser.max_kg, unit));
    if (!is_whole(range.max_kg / coarser.division_kg))
        return wrong(up_to, "must be a whole number of the next coarser division, " +
                                masses_text(coarser.division_kg, unit));
    if (!is_whole(range.max_kg / range.division_kg))
        return wrong(division, "must go into up_to a whole number of times");
    return true;
}

/// The partial ranges of a multi-interval scale (OIML R 76-1:2006, T.3.2.6 and 3.3; clauses from memory).
void check_partial_ranges(const ScaleFile& file, const KeyRecord& record, Findings& findings) {
    const scale::Description& d = file.description;
    constexpr std::string_view tables[] = {"finer", "finest"};
    const bool whole_known = record.usable("max") && record.usable("division") && record.usable("unit") &&
                             check_division_steps(d.division_kg / scale::kilograms_in(d.unit)).valid;
    scale::PartialRange coarser{d.max_kg, d.division_kg};
    for (std::size_t i = 0; i < std::size(tables); ++i) {
        const std::string table(tables[i]);
        const scale::PartialRange& range = d.finer[i];
        if (!record.usable(table + ".up_to") || !record.usable(table + ".division")) return;
        const bool ends = range.max_kg > 0.0;
        if (ends != (range.division_kg > 0.0)) {
            findings.error(ErrorKind::missing_key, record.spot(table + (ends ? ".up_to" : ".division")),
                           "needs [" + table + "] " + (ends ? "division" : "up_to") + " beside it");
            return;
        }
        if (!ends && i == 0 && d.finer[1].max_kg > 0.0) {
            findings.error(ErrorKind::missing_key, record.spot("finest.up_to"),
                           "needs [finer], the range between it and max");
            return;
        }
        if (!ends || !whole_known || !check_finer(table, range, coarser, d.unit, record, findings)) return;
        coarser = range;
    }
}

/// Numbers of divisions that a class allows a scale of this size.
struct ClassLimits {
    std::string_view standard;
    std::string_view accuracy_class;
    double fewest = 0.0;
    double most = 0.0;
};

// OIML R 76-1:2006, table 3, e of 5 g and more. NIST Handbook 44, 2.20, table 3: III L as published, III and
// IIII from memory.
constexpr ClassLimits class_limits[] = {
    {"OIML R 76", "III", 500.0, 10000.0},          {"OIML R 76", "IIII", 100.0, 1000.0},
    {"in-plant", "III", 500.0, 10000.0},           {"in-plant", "IIII", 100.0, 1000.0},
    {"NIST Handbook 44", "III", 500.0, 10000.0},   {"NIST Handbook 44", "IIII", 100.0, 1200.0},
    {"NIST Handbook 44", "III L", 2000.0, 10000.0}};

/// Smallest division of class III L: 2 kg, or 5 lb.
constexpr double least_division_kg_III_L = 2.0;

void check_class(const ScaleFile& file, const KeyRecord& record, Findings& findings) {
    if (!record.usable("standard") || !record.usable("class")) return;
    const ClassLimits* limits = nullptr;
    std::string allowed;
    for (const ClassLimits& candidate : class_limits) {
        if (candidate.standard != file.standard) continue;
        allowed += (allowed.empty() ? "\"" : ", \"") + std::string(candidate.accuracy_class) + '"';
        if (candidate.accuracy_class == file.accuracy_class) limits = &candidate;
    }
    if (limits == nullptr) {
        findings.error(ErrorKind::impossible, record.spot("class"),
                       file.standard + " has no such class for a vehicle scale: must be one of " + allowed);
        return;
    }
    if (!record.usable("max") || !record.usable("division") || !record.usable("unit")) return;
    const double divisions = file.description.max_kg / file.description.division_kg;
    if (divisions < limits->fewest * (1.0 - 1.0e-9) || divisions > limits->most * (1.0 + 1.0e-9)) {
        findings.warning(record.spot("division"), grouped_text(divisions) + " divisions up to max: class " +
                                                      file.accuracy_class + " of " + file.standard + " has " +
                                                      grouped_text(limits->fewest) + " to " +
                                                      grouped_text(limits->most));
    }
    if (file.accuracy_class == "III L" && file.description.division_kg < least_division_kg_III_L) {
        findings.warning(record.spot("division"), "class III L has divisions of 2 kg (5 lb) and more");
    }
}

void check_cells(const ScaleFile& file, const KeyRecord& record, Findings& findings) {
    const scale::Description& d = file.description;
    bool shared_reported = false;
    for (int number = 1; number <= cells_read(d); ++number) {
        const scale::Cell& cell = d.cells[static_cast<std::size_t>(number - 1)];
        const std::string own = "cells." + std::to_string(number) + ".";
        bool usable = true;
        bool is_own = false;
        for (const char* key : {"output_resistance_ohm", "input_resistance_ohm"}) {
            usable = usable && record.usable(own + key) && record.usable("cell." + std::string(key));
            is_own = is_own || record.given(own + key);
        }
        if (!usable || cell.output_ohm <= cell.input_ohm || (!is_own && shared_reported)) continue;
        shared_reported = shared_reported || !is_own;
        findings.error(ErrorKind::impossible, record.cell_spot(number, "output_resistance_ohm"),
                       "a bridge's output resistance, here " + number_text(cell.output_ohm) +
                           " ohm, is at most its input resistance, here " + number_text(cell.input_ohm) +
                           " ohm: two equal resistors between bridge and excitation make the difference");
    }
}

/// Why `at` cannot be a position of the trim; empty when it can.
std::string wrong_position(const scale::Trim& trim, double at) {
    const double last = scale::trim_last_position(trim);
    const std::string unit = trim.turns > 0.0 ? "turns" : "ohm";
    if (at > last) return "is beyond the trim: must be " + range_text({0.0, last}, unit);
    const double shunt_ohm = trim.fixed_ohm + scale::trim_variable_ohm(trim, at);
    if (trim.kind == scale::TrimKind::signal_shunt && shunt_ohm < least_shunt_ohm) {
        return "shorts the signal pair with " + number_text(shunt_ohm) +
               " ohm: fixed and variable part together must be at least " + number_text(least_shunt_ohm) +
               " (ohm)";
    }
    return "";
}

bool trim_usable(const KeyRecord& record) {
    for (const char* key : {"box.trim", "box.trim.kind", "box.trim.total_ohm", "box.trim.turns",
                            "box.trim.fixed_ohm", "box.trim.mixing_ohm"}) {
        if (!record.usable(key)) return false;
    }
    return true;
}

void check_trim(const ScaleFile& file, const KeyRecord& record, Findings& findings) {
    if (!trim_usable(record)) return;
    const scale::Description& d = file.description;
    const scale::Trim& trim = d.trim;
    if (trim.kind == scale::TrimKind::signal_shunt && trim.mixing_ohm == 0.0) {
        findings.warning(
            record.spot("box.trim.kind"),
            "a signal shunt without mixing resistors loads the common bus and trims nothing: give "
            "mixing_ohm");
    }
    if (trim.kind == scale::TrimKind::none) {
        for (int number = 1; number <= cells_read(d); ++number) {
            const std::string own = "cells." + std::to_string(number) + ".trim_at";
            if (record.given(own)) findings.warning(record.spot(own), "has no effect: this box has no trim");
        }
        return;
    }
    if (trim.kind == scale::TrimKind::signal_shunt && trim.turns > 0.0 && trim.fixed_ohm < least_shunt_ohm) {
        findings.error(ErrorKind::out_of_range, record.spot("box.trim.fixed_ohm"),
                       "at turn 0 the trim would short the signal pair: must be at least " +
                           number_text(least_shunt_ohm) + " (ohm)");
        return;
    }
    bool shared_reported = false;
    for (int number = 1; number <= cells_read(d); ++number) {
        const std::string own = "cells." + std::to_string(number) + ".trim_at";
        const bool is_own = record.given(own);
        if (!record.usable(own) || (!is_own && (shared_reported || !record.usable("box.trim.at")))) continue;
        const std::string why = wrong_position(trim, d.cells[static_cast<std::size_t>(number - 1)].trim_at);
        if (why.empty()) continue;
        shared_reported = shared_reported || !is_own;
        findings.error(ErrorKind::out_of_range, record.spot(is_own ? own : "box.trim.at"), why);
    }
}

void check_load(const ScaleFile& file, const KeyRecord& record, Findings& findings) {
    for (const char* key : {"unit", "max", "deck.mass", "deck.section_x_m", "cell.capacity",
                            "cell.rated_output_mV_per_V", "indicator.full_scale_mV_per_V"}) {
        if (!record.usable(key)) return;
    }
    const scale::Description& d = file.description;
    const double load_kg = d.deck.mass_kg + d.max_kg;
    double capacity_kg = 0.0;
    double largest_V_per_V_per_kg = 0.0;
    for (int i = 0; i < d.cell_count(); ++i) {
        const scale::Cell& cell = d.cells[static_cast<std::size_t>(i)];
        capacity_kg += cell.capacity_kg;
        largest_V_per_V_per_kg =
            std::fmax(largest_V_per_V_per_kg, cell.rated_output_V_per_V / cell.capacity_kg);
    }
    if (capacity_kg < load_kg) {
        findings.warning(record.spot("cell.capacity"), "the cells carry " + masses_text(capacity_kg, d.unit) +
                                                           " together, dead load and max are " +
                                                           masses_text(load_kg, d.unit));
    }
    const double signal_V_per_V = largest_V_per_V_per_kg * load_kg / d.cell_count();
    if (signal_V_per_V > d.full_scale_V_per_V) {
        findings.warning(record.spot("indicator.full_scale_mV_per_V"),
                         "dead load and max give " + grouped_text(signal_V_per_V * 1.0e3) +
                             " mV/V: the converter saturates before max");
    }
}

}  // namespace

void settle_gravity(ScaleDraft& draft, const KeyRecord& record, Findings& findings) {
    if (!record.usable("gravity")) return;
    constexpr const char* valid = "must be { latitude_deg = ..., height_m = ... } or { g = ... }";
    const bool by_place = record.given("gravity.latitude_deg");
    const bool by_value = record.given("gravity.g");
    if (!by_place && !by_value) {
        findings.error(ErrorKind::missing_key,
                       record.spot(record.given("gravity") ? "gravity.latitude_deg" : "gravity"),
                       std::string("missing, and has no default: ") + valid);
    } else if (by_value && (by_place || record.given("gravity.height_m"))) {
        findings.error(ErrorKind::impossible, record.spot("gravity.g"),
                       std::string("stands beside a place, which gives gravity already: ") + valid);
    } else if (by_place) {
        draft.file.description.gravity =
            weighing::local_gravity(draft.gravity_latitude_deg, draft.gravity_height_m);
    }
}

void settle_trim(ScaleDraft& draft, const KeyRecord& record, Findings& findings) {
    if (!trim_usable(record)) return;
    scale::Trim& trim = draft.file.description.trim;
    const auto assume = [&](const char* key, double& member, double value) {
        const std::string path = std::string("box.trim.") + key;
        if (record.given(path)) return;
        member = value;
        findings.warning(record.spot(path), "not given: " + number_text(value) + " assumed");
    };
    switch (trim.kind) {
        case scale::TrimKind::none:
            for (const char* key : {"total_ohm", "turns", "at", "fixed_ohm"}) {
                const std::string path = std::string("box.trim.") + key;
                if (record.given(path))
                    findings.warning(record.spot(path), "has no effect with kind \"none\"");
            }
            trim = scale::Trim{.kind = scale::TrimKind::none, .mixing_ohm = trim.mixing_ohm};
            draft.cell.trim_at = 0.0;
            break;
        case scale::TrimKind::excitation_series:
            assume("total_ohm", trim.total_ohm, 20.0);
            if (record.given("box.trim.fixed_ohm")) {
                findings.error(
                    ErrorKind::impossible, record.spot("box.trim.fixed_ohm"),
                    "belongs to kind \"signal-shunt\": a trim in series has no fixed part, must be left "
                    "out");
            }
            break;
        case scale::TrimKind::signal_shunt:
            assume("total_ohm", trim.total_ohm, 1.0e5);
            if (trim.turns > 0.0) assume("fixed_ohm", trim.fixed_ohm, 1.0e4);
            if (!record.given("box.trim.at")) draft.cell.trim_at = scale::trim_last_position(trim);
            break;
    }
}

void check_scale(const ScaleFile& file, const KeyRecord& record, Findings& findings) {
    check_division(file, record, findings);
    check_partial_ranges(file, record, findings);
    check_class(file, record, findings);
    check_cells(file, record, findings);
    check_trim(file, record, findings);
    check_load(file, record, findings);
}

}  // namespace cornerbench::files
