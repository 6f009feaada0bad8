#include "sim/report/drill_report.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <spdlog/fmt/fmt.h>

#include "sim/field/cause_catalogue.h"
#include "sim/field/comparing.h"
#include "sim/field/fault_words.h"
#include "sim/report/finding_words.h"
#include "sim/report/next_report.h"
#include "sim/report/table.h"
#include "sim/training/drill_level.h"

namespace cornerbench::report {

using diagnosis::Quantity;
using diagnosis::Reading;
using scale::Fault;
using training::CallEnd;

namespace {

std::string causes_words(std::span<const Fault> faults) {
    if (faults.empty()) return "healthy";
    std::string text;
    for (const Fault& fault : faults) {
        text += (text.empty() ? "" : " with ") + std::string(scale::name_of(fault.cause));
        const std::string site(field::site_key(fault.site));
        if (!site.empty()) text += fmt::format(" {}={}", site, field::site_value(fault.site));
    }
    return text;
}

/// As the display shows it, not as its error.
std::string as_read(const Reading& r, const MassWords& mass) {
    return r.quantity == Quantity::weight && r.shown == diagnosis::Shown::value ? mass.with_unit(r.value)
                                                                                : read_words(r, mass);
}

std::string as_expected(const Reading& r, double value, const MassWords& mass) {
    if (r.quantity != Quantity::weight) return error_words(r, value, mass);
    return mass.with_unit(std::round(value / mass.division_kg()) * mass.division_kg());
}

std::string away_words(double standardised) {
    const double away = std::fabs(standardised);
    return away > 99.0 ? "more than 99 standard uncertainties away"
                       : fmt::format("{:.1f} standard uncertainties away", away);
}

std::string hidden_words(const training::Drill& drill) {
    if (drill.hidden().empty()) return "nothing: the scale is sound";
    std::string text;
    for (const Fault& fault : drill.hidden()) {
        text += (text.empty() ? "" : ", with ") + field::fault_words(fault, drill.description());
    }
    return text;
}

std::vector<double> tired_trims(const training::Drill& drill) {
    return training::tired_trims(drill.description(), drill.setting().setting, drill.setting().seed);
}

void print_tired_trims(std::ostream& out, const training::Drill& drill) {
    const std::vector<double> off = tired_trims(drill);
    if (off.empty()) return;
    const bool turns = drill.description().trim.turns > 0.0;
    std::string words;
    for (std::size_t i = 0; i < off.size(); ++i)
        words += fmt::format("{}{} by {:+.1f}", i == 0 ? "" : ", ", i + 1, off[i]);
    print_wrapped(out,
                  fmt::format("and tired trims, {} from where the corners would be equal: {}",
                              turns ? "in turns" : "in ohms", words),
                  2);
}

}  // namespace

std::string drill_reading_words(const Reading& reading, const scale::Description& d) {
    return reading_words(reading, d) + "  " + as_read(reading, MassWords(d));
}

void print_drill_sheet(std::ostream& out, training::Drill& drill, const Style& style) {
    const scale::Description& d = drill.description();
    const diagnosis::Sheet& sheet = drill.sheet();
    const MassWords mass(d);
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    const field::Comparison healthy = field::Comparing(d, sheet, diagnosis::Outcome{}, memory).with_healthy();
    Table table;
    table.column("reading").column("read", Align::right).column("healthy", Align::right);
    for (std::size_t i = 0; i < sheet.readings.size(); ++i) {
        const Reading& r = sheet.readings[i];
        std::string sound = r.quantity == Quantity::inspection ? "as it should be" : "";
        for (const diagnosis::Compared& row : healthy.rows) {
            if (row.reading == static_cast<int>(i)) sound = as_expected(r, row.predicted, mass);
        }
        for (const diagnosis::Seen& seen : healthy.seen) {
            if (seen.reading == static_cast<int>(i) && r.quantity != Quantity::inspection) {
                sound = as_expected(r, seen.predicted, mass);
            }
        }
        table.row(
            {{reading_words(r, d), Tone::plain}, {as_read(r, mass), Tone::strong}, {sound, Tone::faint}});
    }
    table.print(out, style);
    print_wrapped(
        out, fmt::format("Division {}. Healthy: what a sound scale would show.", mass.division_words()), 2);
}

void print_hint(std::ostream& out, const training::Hint& hint, training::Drill& drill) {
    const scale::Description& d = drill.description();
    const std::string ask_again = "Ask again without reading anything, and causes are named.";
    if (hint.check) {
        print_wrapped(out, fmt::format("What would tell most for its minutes now: {} ({} min).{}",
                                       check_words(hint.check->reading, d), figures(hint.check->minutes, 2),
                                       hint.again ? "" : " " + ask_again));
        if (hint.again) print_outcomes(out, *hint.check, d, {});
        return;
    }
    const std::string why =
        hint.enough ? "What was read settles it as far as readings can" : "No reading would tell more";
    if (hint.again) {
        print_wrapped(out, fmt::format("{}: {} ({}).", why, cause_words(hint.likeliest, d),
                                       probability_words(hint.likeliest.probability)));
        return;
    }
    std::string where = "nothing read so far departs from a sound scale";
    if (hint.telling) {
        const Reading& r = drill.sheet().readings[static_cast<std::size_t>(hint.telling->reading)];
        where = fmt::format("look at {}: it read {}, which a sound scale explains least of all",
                            reading_words(r, d), as_read(r, MassWords(d)));
    }
    print_wrapped(out, fmt::format("{}; {}. {}", why, where, ask_again));
}

void print_right_call(std::ostream& out, const training::CallVerdict& verdict, const scale::Description& d,
                      int indent) {
    const bool wholly = verdict.end == CallEnd::right;
    print_wrapped(out,
                  wholly ? "Right." : "As right as can be: no reading of these tells it from what it was.",
                  indent);
    if (!verdict.guessed) return;
    const std::string would = !verdict.missing
                                  ? "."
                                  : fmt::format(": {} ({} min).", check_words(verdict.missing->reading, d),
                                                figures(verdict.missing->minutes, 2));
    print_wrapped(out,
                  fmt::format("But it was a guess: what was read does not put it ahead. What else it may be "
                              "would be told by another reading{}",
                              would),
                  indent);
}

void print_wrong_call(std::ostream& out, const training::CallVerdict& verdict, std::span<const Fault> named,
                      training::Drill& drill) {
    const scale::Description& d = drill.description();
    if (verdict.end == CallEnd::one_of_two) {
        print_wrapped(out, "One of two causes is named right; there is another beside it.");
        return;
    }
    const std::string called = causes_words(named);
    if (verdict.end == CallEnd::too_early) {
        print_wrapped(
            out, fmt::format("Too early: the readings so far do not tell {} from what it is. What would: {} "
                             "({} min).",
                             called, check_words(verdict.missing->reading, d),
                             figures(verdict.missing->minutes, 2)));
        return;
    }
    if (verdict.against) {
        const training::Against& against = *verdict.against;
        const Reading& r = drill.sheet().readings[static_cast<std::size_t>(against.reading)];
        const MassWords mass(d);
        const std::string read = as_read(r, mass);
        const std::string expected =
            against.seen ? "something else" : as_expected(r, against.predicted, mass);
        const std::string by = against.seen ? "" : ", " + away_words(against.standardised);
        print_wrapped(out,
                      fmt::format("Not so. Against {} speaks: {} read {}, where {}it would let expect {}{}.",
                                  called, reading_words(r, d), read,
                                  against.given_others ? "given the other readings " : "", expected, by));
        return;
    }
    if (verdict.missing) {
        print_wrapped(
            out, fmt::format("Not so, though nothing read so far speaks against {}. What would have told: "
                             "{} ({} min).",
                             called, check_words(verdict.missing->reading, d),
                             figures(verdict.missing->minutes, 2)));
        return;
    }
    print_wrapped(out, fmt::format("Not so, though no reading of this kind speaks against {}.", called));
}

void print_drill_end(std::ostream& out, training::Drill& drill, const training::DrillScore& score,
                     const Style& style) {
    out << '\n' << style(Tone::strong, "What was hidden") << '\n';
    print_wrapped(out, hidden_words(drill), 2);
    print_tired_trims(out, drill);
    std::set<field::Caution> cautions;
    for (const Fault& fault : drill.hidden()) {
        const field::CauseEntry& entry = field::entry_of(fault.cause);
        print_wrapped(out, fmt::format("Shown by: {}", entry.shown_by), 2);
        print_wrapped(out, fmt::format("What to do: {}", entry.remedy), 2);
        cautions.insert(entry.cautions.begin(), entry.cautions.end());
    }
    if (drill.hidden().empty()) {
        print_wrapped(out, std::string(field::entry_of(scale::Cause::healthy).remedy), 2);
    }
    out << '\n'
        << style(score.right ? Tone::good : Tone::bad, fmt::format("{} of 100 points", score.points))
        << (score.right ? score.guessed ? " for a guess" : "" : ": the cause was not found") << '\n';
    Table table;
    table.column("").column("you", Align::right).column("proposed checks", Align::right);
    table.row({{"minutes", Tone::plain},
               {figures(score.minutes, 3), Tone::plain},
               {figures(score.plan.minutes, 3), Tone::plain}});
    table.row({{"readings", Tone::plain},
               {std::to_string(score.steps), Tone::plain},
               {std::to_string(score.plan.checks), Tone::plain}});
    table.row({{"told next to nothing", Tone::plain},
               {std::to_string(score.needless.size()), Tone::plain},
               {"", Tone::plain}});
    table.row({{"hints", Tone::plain}, {std::to_string(drill.hints()), Tone::plain}, {"", Tone::plain}});
    table.row({{"wrong calls", Tone::plain},
               {std::to_string(drill.wrong_calls()), Tone::plain},
               {"", Tone::plain}});
    table.print(out, style);
    if (!score.plan.right) {
        print_wrapped(out, "The proposed checks did not come to the right cause either.", 2);
    }
    for (const int step : score.needless) {
        print_wrapped(out,
                      fmt::format("Told next to nothing when it was taken: {}.",
                                  check_words(drill.steps()[static_cast<std::size_t>(step)].reading,
                                              drill.description())),
                      2);
    }
    if (cautions.empty()) return;
    out << '\n' << style(Tone::strong, "Mind, on a real scale") << '\n';
    for (const field::Caution caution : cautions) print_wrapped(out, field::text_of(caution), 2);
}

Json json_of_drill(training::Drill& drill, const training::DrillScore& score) {
    const scale::Description& d = drill.description();
    Json json;
    json["seed"] = drill.setting().seed;
    json["hidden"] = Json::array();
    for (const Fault& fault : drill.hidden()) json["hidden"].push_back(field::fault_words(fault, d));
    json["right"] = score.right;
    json["tired_trims"] = tired_trims(drill);
    json["guessed"] = score.guessed;
    json["points"] = score.points;
    json["minutes"] = score.minutes;
    json["hints"] = drill.hints();
    json["wrong_calls"] = drill.wrong_calls();
    json["steps"] = Json::array();
    for (std::size_t i = 0; i < drill.steps().size(); ++i) {
        const training::Step& step = drill.steps()[i];
        const bool needless = std::find(score.needless.begin(), score.needless.end(), static_cast<int>(i)) !=
                              score.needless.end();
        json["steps"].push_back({{"reading", check_words(step.reading, d)},
                                 {"read", read_words(step.reading, MassWords(d))},
                                 {"minutes", step.minutes},
                                 {"needless", needless}});
    }
    json["plan"] = {
        {"minutes", score.plan.minutes}, {"checks", score.plan.checks}, {"right", score.plan.right}};
    return json;
}

}  // namespace cornerbench::report
