#include "sim/report/corner_test_report.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <spdlog/fmt/fmt.h>

#include "sim/files/shown_words.h"
#include "sim/report/deck_map.h"
#include "sim/report/json_document.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using diagnosis::Shown;
using field::TestResult;
using mechanics::DeckError;

namespace {

std::string value_words(const TestResult& r, const MassWords& mass) {
    if (r.deck_error != DeckError::none) return "unstable";
    return r.shown == Shown::value ? mass.number(r.shown_kg) : std::string(files::word_of(r.shown));
}

void print_head(std::ostream& out, const CornerTestPage& page, const MassWords& mass, const Style& style) {
    const auto& d = page.scale.description;
    out << style(Tone::strong, page.scale.name) << ": Max " << mass.max_words() << ", d "
        << mass.division_words() << ", " << d.cell_count() << " supports\n";
    if (page.faults.empty()) out << "As it should be, every part as described.\n";
    for (const std::string& fault : page.faults) out << "With " << style(Tone::caution, fault) << '\n';
    const auto& stage = page.standard.stage(page.setting.stage);
    print_wrapped(out, fmt::format("Limits: {} class {}, {} ({}, {}). Test load {}{}.", page.standard.name,
                                   page.scale.accuracy_class, stage.word, page.standard.edition, stage.clause,
                                   mass.with_unit(page.test.mass_kg),
                                   page.mass_from_standard ? ", by its " + page.standard.corner_clause : ""));
    out << '\n';
}

void print_map(std::ostream& out, const CornerTestPage& page, const MassWords& mass, const Style& style) {
    std::vector<MapCorner> corners;
    for (const TestResult& r : page.test.supports) {
        MapCorner corner;
        corner.lines = {value_words(r, mass), r.has_value() ? mass.divisions(r.judged_error_kg()) : ""};
        if (!r.within()) {
            corner.lines[1] += " !";
            corner.tone = Tone::bad;
        }
        corners.push_back(std::move(corner));
    }
    print_deck_map(out, page.scale.description.deck.sections, corners, style);
    out << '\n';
}

void add_rows(Table& table, const char* what, const std::vector<TestResult>& results, const MassWords& mass,
              double division_kg) {
    for (const TestResult& r : results) {
        const bool good = r.within();
        table.row({{fmt::format("{} {}", what, r.index + 1), Tone::plain},
                   {value_words(r, mass), Tone::plain},
                   {r.has_value() ? mass.difference(r.shown_error_kg) : "", Tone::plain},
                   {r.has_value() ? mass.divisions(r.exact_error_kg) : "", Tone::plain},
                   {grouped(r.limit_kg / division_kg, 1) + " d", Tone::plain},
                   {good ? "yes" : "no", good ? Tone::good : Tone::bad}});
    }
}

void print_spread(std::ostream& out, const char* what, const field::Spread& spread, const MassWords& mass,
                  const Style& style) {
    if (!spread.judged) return;
    const bool good = spread.within();
    out << fmt::format("  {} spread {}, limit {}: ", what, mass.with_unit(spread.kg),
                       mass.with_unit(spread.limit_kg))
        << style(good ? Tone::good : Tone::bad, good ? "within" : "outside") << '\n';
}

std::vector<int> lifted_supports(const TestResult& r) {
    std::vector<int> numbers;
    if (r.deck_error != DeckError::none) return numbers;
    for (std::size_t i = 0; i < r.lifted.size(); ++i) {
        if (r.lifted[i]) numbers.push_back(static_cast<int>(i) + 1);
    }
    return numbers;
}

/// What the numbers cannot say: which support lifts off when, instability, missing values.
void print_remarks(std::ostream& out, const field::CornerTest& test) {
    std::map<int, std::vector<std::string>> lifted;
    std::size_t looked_at = 0;
    const auto look = [&](const std::string& where, const TestResult& r) {
        ++looked_at;
        if (r.deck_error != DeckError::none) {
            print_wrapped(
                out, fmt::format("{}: {}. No weight can be given.", where, deck_error_words(r.deck_error)));
        }
        for (const int support : lifted_supports(r)) lifted[support].push_back(where);
    };
    look("empty", test.empty);
    for (const TestResult& r : test.supports) look(fmt::format("over support {}", r.index + 1), r);
    for (const TestResult& r : test.sections) look(fmt::format("on section {}", r.index + 1), r);
    for (const auto& [support, loads] : lifted) {
        std::string when = loads.size() == looked_at ? "whatever stands on the deck" : "";
        if (when.empty()) {
            when = loads.front() == "empty" ? "with the deck empty" : "with the load " + loads.front();
            for (std::size_t i = 1; i < loads.size(); ++i) {
                when += i == 1 && loads.front() == "empty" ? ", with the load " : ", ";
                when += loads[i];
            }
        }
        print_wrapped(out, fmt::format("Support {} lifts off its cell {}.", support, when));
    }
}

std::string judged_words(const CornerTestPage& page) {
    if (page.setting.unrounded) return "The display is taken to show the weight before rounding.";
    if (!page.standard.before_rounding) {
        return fmt::format("Judged by what is shown, as {} has it.", page.standard.name);
    }
    return fmt::format("Judged by the error before rounding{}.",
                       page.standard.rounding_clause.empty()
                           ? ""
                           : fmt::format(" ({}, {})", page.standard.edition, page.standard.rounding_clause));
}

std::string_view word_of(const TestResult& r) {
    if (r.deck_error == DeckError::mechanism) return "mechanism";
    if (r.deck_error == DeckError::not_consistent) return "not consistent";
    return files::word_of(r.shown);
}

Json json_of(const TestResult& r, const char* place, const MassWords& mass, double division_kg, bool judged) {
    Json json = Json::object();
    if (place != nullptr) json[place] = r.index + 1;
    json["shown"] = word_of(r);
    json["weight"] = r.has_value() ? Json(mass.in_unit(r.shown_kg)) : Json(nullptr);
    if (!judged) return json;
    const auto add_error = [&](const std::string& key, double error_kg) {
        json[key] = r.has_value() ? Json(mass.in_unit(error_kg)) : Json(nullptr);
        json[key + "_d"] =
            r.has_value() ? Json(std::round(error_kg / division_kg * 1000.0) / 1000.0 + 0.0) : Json(nullptr);
    };
    add_error("error", r.shown_error_kg);
    add_error("error_before_rounding", r.exact_error_kg);
    json["limit"] = mass.in_unit(r.limit_kg);
    json["lifts_off"] = lifted_supports(r);
    json["within"] = r.within();
    return json;
}

Json json_of(const field::Spread& spread, const MassWords& mass) {
    if (!spread.judged) return nullptr;
    return {{"spread", mass.in_unit(spread.kg)},
            {"limit", mass.in_unit(spread.limit_kg)},
            {"within", spread.within()}};
}

}  // namespace

std::string deck_error_words(DeckError error) {
    return error == DeckError::mechanism
               ? "so many supports lift off that nothing holds the deck"
               : "no set of carrying supports and sticking contacts agrees with its own forces";
}

void print_corner_test(std::ostream& out, const CornerTestPage& page, const Style& style) {
    const MassWords mass(page.scale.description);
    const field::CornerTest& test = page.test;
    print_head(out, page, mass, style);
    print_map(out, page, mass, style);

    Table table;
    table.column("load over")
        .column("shown", Align::right)
        .column("error " + mass.unit(), Align::right)
        .column("before rounding", Align::right)
        .column("limit", Align::right)
        .column("within");
    add_rows(table, "support", test.supports, mass, page.scale.description.division_kg);
    add_rows(table, "section", test.sections, mass, page.scale.description.division_kg);
    table.print(out, style);
    print_spread(out, "corners", test.support_spread, mass, style);
    print_spread(out, "sections", test.section_spread, mass, style);
    print_wrapped(out, judged_words(page), 2);
    out << '\n';
    out << "  empty, zero from before  " << value_words(test.empty, mass) << '\n';
    out << "  empty again afterwards   " << value_words(test.returned, mass) << '\n';
    print_remarks(out, test);
    out << '\n';
    if (test.within()) {
        out << style(Tone::good, "Within the limits.") << '\n';
    } else {
        out << style(Tone::bad, "Outside the limits.") << '\n';
    }
}

void print_corner_test_json(std::ostream& out, const CornerTestPage& page) {
    const MassWords mass(page.scale.description);
    const double division_kg = page.scale.description.division_kg;
    const auto& stage = page.standard.stage(page.setting.stage);
    Json document = json_document();
    document["scale"] = page.scale.name;
    document["unit"] = mass.unit();
    document["division"] = mass.in_unit(division_kg);
    document["mass"] = mass.in_unit(page.test.mass_kg);
    document["faults"] = page.faults;
    document["standard"] = page.standard.name;
    document["class"] = page.scale.accuracy_class;
    document["stage"] = stage.word;
    document["rounded"] = !page.setting.unrounded;
    document["judged"] = page.standard.before_rounding ? "before rounding" : "as shown";
    document["empty"] = json_of(page.test.empty, nullptr, mass, division_kg, false);
    document["supports"] = Json::array();
    for (const TestResult& r : page.test.supports) {
        document["supports"].push_back(json_of(r, "support", mass, division_kg, true));
    }
    document["sections"] = Json::array();
    for (const TestResult& r : page.test.sections) {
        document["sections"].push_back(json_of(r, "section", mass, division_kg, true));
    }
    document["returned"] = json_of(page.test.returned, nullptr, mass, division_kg, false);
    document["support_spread"] = json_of(page.test.support_spread, mass);
    document["section_spread"] = json_of(page.test.section_spread, mass);
    document["within"] = page.test.within();
    print_json(out, document);
}

}  // namespace cornerbench::report
