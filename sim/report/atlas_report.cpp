#include "sim/report/atlas_report.h"

#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/field/cause_catalogue.h"
#include "sim/field/fault_words.h"
#include "sim/report/atlas_words.h"
#include "sim/report/deck_map.h"
#include "sim/report/finding_words.h"
#include "sim/report/over_time_report.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using training::AtlasEntry;

namespace {

void print_heading(std::ostream& out, std::string_view heading, const Style& style) {
    out << '\n' << style(Tone::strong, heading) << '\n';
}

void print_corners(std::ostream& out, const AtlasPage& page, const AtlasEntry& entry, const MassWords& mass,
                   const Style& style) {
    std::vector<MapCorner> corners;
    for (const field::TestResult& r : entry.test.supports) {
        MapCorner corner;
        corner.lines = {corner_error_words(r, mass)};
        corner.tone = r.has_value() && r.within() ? Tone::plain : Tone::bad;
        corners.push_back(corner);
    }
    print_deck_map(out, page.scale.description.deck.sections, corners, style);
    std::string sections;
    for (const field::TestResult& r : entry.test.sections) {
        sections += fmt::format("{}{} on section {}", sections.empty() ? "" : ", ",
                                corner_error_words(r, mass), r.index + 1);
    }
    print_wrapped(out,
                  fmt::format("{} over each support, zeroed after the cause came; before that the empty deck "
                              "showed {}. {}. {}.",
                              mass.with_unit(entry.test.mass_kg), corner_error_words(entry.test.empty, mass),
                              sections, entry.test.within() ? "Within the limits" : "Outside the limits"),
                  2);
}

double worst_kg(const AtlasEntry& entry) {
    return entry.test.supports[static_cast<std::size_t>(entry.worst_support)].exact_error_kg;
}

}  // namespace

void print_atlas_list(std::ostream& out, const AtlasPage& page, const Style& style) {
    const MassWords mass(page.scale.description);
    out << style(Tone::strong, page.scale.name) << ": what each cause does\n\n";
    Table table;
    table.column("cause").column("worst corner", Align::right).column("empty", Align::right);
    table.column("by weights", Align::right).column("by all", Align::right);
    for (const AtlasEntry& entry : page.entries) {
        const field::TestResult& worst = entry.test.supports[static_cast<std::size_t>(entry.worst_support)];
        table.row({{scale::name_of(entry.fault.cause), Tone::plain},
                   {corner_error_words(worst, mass), entry.test.within() ? Tone::plain : Tone::bad},
                   {corner_error_words(entry.test.empty, mass), Tone::plain},
                   {probability_words(entry.by_weights), Tone::plain},
                   {probability_words(entry.by_all), Tone::plain}});
    }
    table.print(out, style, 0);
    out << '\n';
    print_wrapped(
        out,
        fmt::format("Each at its first place, of a likely size. Errors in divisions of {}; empty: before "
                    "zero was set. By weights, by all: the "
                    "probability that 'diagnose' gives cause and place on corner weights alone and on a full "
                    "sheet, without scatter. 'cornerbench atlas SCALE CAUSE' has one in full, '-o FILE.html' "
                    "all with pictures.",
                    mass.division_words()));
}

void print_atlas_entry(std::ostream& out, const AtlasPage& page, const AtlasEntry& entry,
                       const Style& style) {
    const scale::Description& d = page.scale.description;
    const MassWords mass(d);
    const field::CauseEntry& words = field::entry_of(entry.fault.cause);
    out << style(Tone::strong, page.scale.name) << ": " << field::fault_words(entry.fault, d) << '\n';
    print_heading(out, "What it is", style);
    print_wrapped(out, words.what, 2);
    print_heading(out, "The corner round", style);
    print_corners(out, page, entry, mass, style);
    print_heading(out, "With load and time", style);
    for (const std::string& line : change_words(entry, d)) print_wrapped(out, line, 2);
    print_over_time(out, entry, d, style);
    print_heading(out, "Meters", style);
    if (entry.signs.empty()) {
        print_wrapped(out, "No meter reading departs from a sound scale's by three standard uncertainties.",
                      2);
    } else {
        Table table;
        table.column("reading").column("sound", Align::right).column("with it", Align::right);
        table.column("by u", Align::right);
        for (const training::MeterSign& sign : entry.signs) {
            table.row({{reading_words(sign.reading, d), Tone::plain},
                       {read_words(sign.sound, mass), Tone::plain},
                       {read_words(sign.reading, mass), Tone::strong},
                       {sign_words(sign), Tone::plain}});
        }
        table.print(out, style);
        print_wrapped(out, "By u: in standard uncertainties of a sound scale's reading.", 2);
    }
    print_heading(out, "What looks like it", style);
    print_wrapped(out,
                  fmt::format("By the corner weights alone: {} {}. By a full sheet: {}.",
                              probability_words(entry.by_weights),
                              entry.like_it.empty() ? "and nothing else comes near" : "for it",
                              probability_words(entry.by_all)),
                  2);
    if (!entry.like_it.empty()) {
        print_wrapped(
            out,
            "What would tell them apart, with what it reads here and there, at the other's best fit:", 2);
    }
    for (const training::Lookalike& like : entry.like_it) {
        print_wrapped(out,
                      fmt::format("{} ({}): {}", cause_words(like.candidate, d),
                                  probability_words(like.candidate.probability), told_words(like, d)),
                      4);
    }
    print_heading(out, "What to do", style);
    print_wrapped(out, words.remedy, 2);
    print_heading(out, "Mind", style);
    for (const field::Caution caution : words.cautions) print_wrapped(out, field::text_of(caution), 2);
}

void print_atlas_json(std::ostream& out, const AtlasPage& page) {
    const scale::Description& d = page.scale.description;
    const MassWords mass(d);
    Json document = json_document();
    document["scale"] = page.scale.name;
    document["test_load"] = mass.in_unit(page.entries.empty() ? 0.0 : page.entries.front().test.mass_kg);
    document["unit"] = mass.unit();
    document["causes"] = Json::array();
    for (const AtlasEntry& entry : page.entries) {
        Json json;
        json["name"] = scale::name_of(entry.fault.cause);
        json["example"] = field::fault_words(entry.fault, d);
        json["supports"] = Json::array();
        for (const field::TestResult& r : entry.test.supports) {
            json["supports"].push_back(
                {{"support", r.index + 1},
                 {"error", r.has_value() ? Json(mass.in_unit(r.exact_error_kg)) : Json(nullptr)},
                 {"within", r.has_value() && r.within()}});
        }
        json["worst_support"] = entry.worst_support + 1;
        json["worst_error"] = mass.in_unit(worst_kg(entry));
        json["left_at_zero"] = mass.in_unit(entry.left_at_zero_kg);
        json["in_time"] = over_time_json(entry, d);
        json["signs"] = Json::array();
        for (const training::MeterSign& sign : entry.signs) {
            json["signs"].push_back({{"reading", reading_words(sign.reading, d)},
                                     {"sound", read_words(sign.sound, mass)},
                                     {"with", read_words(sign.reading, mass)},
                                     {"unchanged", sign.unchanged},
                                     {"standard_uncertainties",
                                      sign.standardised == 0.0 ? Json(nullptr) : Json(sign.standardised)}});
        }
        json["by_corner_weights"] = entry.by_weights;
        json["by_full_sheet"] = entry.by_all;
        json["looks_like"] = Json::array();
        for (const training::Lookalike& like : entry.like_it) {
            json["looks_like"].push_back({{"cause", cause_words(like.candidate)},
                                          {"probability", like.candidate.probability},
                                          {"told_by", told_words(like, d)}});
        }
        document["causes"].push_back(json);
    }
    print_json(out, document);
}

}  // namespace cornerbench::report
