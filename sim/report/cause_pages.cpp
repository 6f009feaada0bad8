#include "sim/report/cause_pages.h"

#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/field/cause_catalogue.h"
#include "sim/field/fault_words.h"
#include "sim/report/json_document.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using scale::Cause;

namespace {

constexpr int text_indent = 2;

/// Keys of the places that the cause can have here: "support, side, end".
std::vector<std::string> place_keys(const scale::Description& d, Cause cause) {
    std::vector<std::string> keys;
    for (int i = 0; i < scale::site_count(d, cause); ++i) {
        const std::string key(field::site_key(scale::site_at(d, cause, i)));
        if (!key.empty() && (keys.empty() || keys.back() != key)) keys.push_back(key);
    }
    return keys;
}

std::vector<std::string> variant_words(const scale::Description& d, Cause cause) {
    std::vector<std::string> words;
    if (field::variant_key(cause).empty()) return words;
    for (int i = 0; i < scale::variant_count(d, cause); ++i) {
        words.push_back(field::variant_value(cause, scale::variant_at(d, cause, i)));
    }
    return words;
}

scale::Magnitudes magnitudes_here(const scale::Description& d, Cause cause) {
    return scale::magnitudes_of(d, cause, scale::site_at(d, cause, 0));
}

void print_section(std::ostream& out, std::string_view heading, std::string_view text, const Style& style) {
    out << '\n' << style(Tone::strong, heading) << '\n';
    print_wrapped(out, text, text_indent);
}

void print_words(std::ostream& out, Cause cause, const CauseExample& example, const Style& style) {
    const scale::Description& d = example.description;
    Table table;
    table.column("word").column("valid");
    const auto keys = place_keys(d, cause);
    for (const std::string& key : keys) {
        if (key == "side") {
            table.row({{"side", Tone::plain}, {"far | near", Tone::plain}});
        } else if (key == "end") {
            table.row({{"end", Tone::plain}, {"left | right", Tone::plain}});
        } else if (key == "cells") {
            table.row({{"cells", Tone::plain},
                       {fmt::format("two of 1 to {}, as in 3,5", d.cell_count()), Tone::plain}});
        } else {
            table.row({{key, Tone::plain}, {fmt::format("1 to {}", d.cell_count()), Tone::plain}});
        }
    }
    if (const auto words = variant_words(d, cause); !words.empty()) {
        const std::string key(field::variant_key(cause));
        // Ten pairs of wires are more than a line.
        for (std::size_t first = 0; first < words.size(); first += 6) {
            const auto last = std::min(words.size(), first + 6);
            const std::vector<std::string> part(words.begin() + static_cast<std::ptrdiff_t>(first),
                                                words.begin() + static_cast<std::ptrdiff_t>(last));
            table.row({{first == 0 ? key : "", Tone::plain},
                       {fmt::format("{}", fmt::join(part, " | ")), Tone::plain}});
        }
    }
    const scale::Magnitudes magnitudes = magnitudes_here(d, cause);
    for (unsigned i = 0; i < static_cast<unsigned>(magnitudes.count); ++i) {
        const scale::Magnitude& m = magnitudes.of[i];
        table.row(
            {{m.name, Tone::plain},
             {fmt::format("{} to {}{}", figures(m.low / m.si_per_unit), figures(m.high / m.si_per_unit),
                          m.spread == scale::Spread::log_uniform ? ", every power of ten as likely" : ""),
              Tone::plain}});
    }
    if (keys.empty() && field::variant_key(cause).empty() && magnitudes.count == 0) return;
    out << '\n' << style(Tone::strong, "Where and how much") << " (on " << example.name << ")\n";
    table.print(out, style, text_indent);
}

Json json_of(Cause cause, const CauseExample& example) {
    const scale::Description& d = example.description;
    const field::CauseEntry& entry = field::entry_of(cause);
    const double prior = example.priors[static_cast<unsigned>(scale::index_of(cause))];
    Json json = {{"name", scale::name_of(cause)},
                 {"brief", entry.brief},
                 {"what", entry.what},
                 {"corner_weights", entry.corner_weights},
                 {"shown_by", entry.shown_by},
                 {"remedy", entry.remedy},
                 {"possible", scale::possible(d, cause)},
                 {"prior", prior},
                 {"where", place_keys(d, cause)},
                 {"places", scale::site_count(d, cause)}};
    json["variant"] = nullptr;
    if (const auto words = variant_words(d, cause); !words.empty()) {
        json["variant"] = {{"key", field::variant_key(cause)}, {"valid", words}};
    }
    json["magnitudes"] = Json::array();
    const scale::Magnitudes magnitudes = magnitudes_here(d, cause);
    for (unsigned i = 0; i < static_cast<unsigned>(magnitudes.count); ++i) {
        const scale::Magnitude& m = magnitudes.of[i];
        json["magnitudes"].push_back(
            {{"unit", m.name},
             {"low", m.low / m.si_per_unit},
             {"high", m.high / m.si_per_unit},
             {"spread", m.spread == scale::Spread::log_uniform ? "log-uniform" : "uniform"}});
    }
    json["cautions"] = Json::array();
    for (const field::Caution caution : entry.cautions) {
        json["cautions"].push_back({{"name", field::name_of(caution)}, {"text", field::text_of(caution)}});
    }
    return json;
}

}  // namespace

CauseExample eight_cell_example() {
    CauseExample example;
    example.name = "an example with eight cells";
    scale::Description& d = example.description;
    d.max_kg = 60000.0;
    d.division_kg = 20.0;
    d.deck.mass_kg = 14000.0;
    d.deck.sections = 4;
    d.deck.section_x_m = {0.0, 6.0, 12.0, 18.0};
    d.deck.width_m = 2.6;
    d.trim.kind = scale::TrimKind::excitation_series;
    d.trim.total_ohm = 20.0;
    for (int i = 0; i < d.cell_count(); ++i) {
        scale::Cell& cell = d.cells[static_cast<unsigned>(i)];
        cell.capacity_kg = 30000.0;
        cell.trim_at = 0.5 * d.trim.turns;
    }
    example.priors = diagnosis::default_priors(d);
    return example;
}

CauseExample example_from(const files::ScaleFile& scale) {
    return {scale.name, scale.description, diagnosis::default_priors(scale.description)};
}

void print_cause_list(std::ostream& out, const CauseExample& example, const Style& style) {
    Table table;
    table.column("cause").column("in short");
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<Cause>(i);
        const bool possible = scale::possible(example.description, cause);
        table.row(
            {{scale::name_of(cause), possible ? Tone::strong : Tone::faint},
             {std::string(field::entry_of(cause).brief) + (possible ? "" : " (not here)"), Tone::plain}});
    }
    table.print(out, style, 0);
    out << '\n';
    print_wrapped(
        out,
        "'cornerbench causes NAME' has one in full: what it does, which reading shows it, what to do, "
        "and what to mind while doing it.");
}

void print_cause_page(std::ostream& out, Cause cause, const CauseExample& example, const Style& style) {
    const field::CauseEntry& entry = field::entry_of(cause);
    out << style(Tone::strong, scale::name_of(cause)) << ": " << entry.brief << '\n';
    if (!scale::possible(example.description, cause)) {
        print_wrapped(out, fmt::format("Not possible on {}: {}.", example.name,
                                       field::why_impossible(example.description, cause)));
    }
    print_section(out, "What it is", entry.what, style);
    print_section(out, "What it does to corner weights", entry.corner_weights, style);
    print_section(out, "What shows it", entry.shown_by, style);
    print_section(out, "What to do", entry.remedy, style);
    print_words(out, cause, example, style);
    const double prior = example.priors[static_cast<unsigned>(scale::index_of(cause))];
    print_section(out, "Before any reading",
                  fmt::format("{} of the complaints, by default; a file of priors can say otherwise "
                              "('cornerbench keys priors').",
                              percent(prior)),
                  style);
    out << '\n' << style(Tone::strong, "Mind") << '\n';
    for (const field::Caution caution : entry.cautions)
        print_wrapped(out, field::text_of(caution), text_indent);
}

void print_causes_json(std::ostream& out, const CauseExample& example) {
    Json document = json_document();
    document["scale"] = example.name;
    document["causes"] = Json::array();
    for (int i = 0; i < scale::cause_count; ++i) {
        document["causes"].push_back(json_of(static_cast<Cause>(i), example));
    }
    print_json(out, document);
}

void print_cause_json(std::ostream& out, Cause cause, const CauseExample& example) {
    Json document = json_document();
    document["scale"] = example.name;
    document["causes"] = Json::array({json_of(cause, example)});
    print_json(out, document);
}

}  // namespace cornerbench::report
