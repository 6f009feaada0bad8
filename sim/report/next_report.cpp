#include "sim/report/next_report.h"

#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/diagnosis_json.h"
#include "sim/report/finding_words.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::Shown;
using field::CheckOutcome;
using field::NextCheck;

namespace {

/// A group is named beside its leading member where it holds this much more.
constexpr double clearly_more = 0.02;
/// With this much beside the list, its causes' shares need a word.
constexpr double worth_mentioning = 0.05;

double rounded(double value) {
    return value == 0.0 ? 0.0 : std::stod(fmt::format("{:.6g}", value));
}

std::string leads_words(const CheckOutcome& o, const scale::Description& d) {
    std::string text = cause_words(o.leads, d);
    if (o.group_probability > o.probability + clearly_more)
        text += fmt::format(" (group {}: {})", static_cast<char>('A' + o.leads.group % 26),
                            probability_words(o.group_probability));
    return text;
}

double unlisted_share(const field::DiagnosedSheet& found) {
    for (const diagnosis::Candidate& c : found.candidates) {
        if (c.fault.cause == scale::Cause::unlisted) return c.probability;
    }
    return 0.0;
}

/// The factor from the reading's unit in the core to the one its outcomes are given in, and that unit.
std::pair<double, std::string> unit_of(const Reading& r, const scale::Description& d) {
    switch (r.quantity) {
        case Quantity::weight:
            return {1.0 / scale::kilograms_in(d.unit), MassWords(d).unit()};
        case Quantity::resistance:
            return {1.0, "ohm"};
        case Quantity::excitation:
            return {1.0, "V"};
        default:
            return {1.0e3, r.is_ratio || r.quantity == Quantity::channel ? "mV/V" : "mV"};
    }
}

}  // namespace

void print_outcomes(std::ostream& out, const NextCheck& check, const scale::Description& d,
                    const Style& style) {
    if (check.outcomes.empty()) return;
    const MassWords mass(d);
    Table table;
    table.column("reads")
        .column("chance", Align::right)
        .column("then comes first")
        .column("at", Align::right);
    for (const CheckOutcome& o : check.outcomes) {
        table.row({{outcome_range_words(check.reading, o, mass), Tone::plain},
                   {probability_words(o.chance), Tone::plain},
                   {leads_words(o, d), Tone::plain},
                   {probability_words(o.probability), Tone::plain}});
    }
    table.print(out, style, 5);
}

std::string outcome_range_words(const Reading& r, const CheckOutcome& o, const MassWords& mass) {
    if (r.quantity == Quantity::inspection && !o.exchanged)
        return o.as_it_should_be ? "as it should be" : "not";
    if (r.quantity == Quantity::inspection)
        return fmt::format("{} and {} exchanged", scale::name_of(o.wire_a), scale::name_of(o.wire_b));
    if (o.shown != Shown::value) return r.quantity == Quantity::resistance ? "no path" : shown_words(o.shown);
    const bool ohms = r.quantity == Quantity::resistance;
    const auto words = [&](double value) { return value_words(r, ohms ? std::log(value) : value, mass); };
    const std::string low = words(o.low);
    const std::string high = words(o.high);
    if (low == high) return low;
    const auto unit_at = [](const std::string& text) { return text.rfind(' '); };
    const bool one_unit = low.substr(unit_at(low)) == high.substr(unit_at(high));
    return (one_unit ? low.substr(0, unit_at(low)) : low) + " to " + high;
}

std::string planned_words(const NextCheck& check, const files::SheetFile& sheet) {
    const std::string words = check_words(check.reading, sheet.scale.description);
    if (check.repeats < 0) return words;
    const int line = sheet.notes[static_cast<std::size_t>(check.repeats)].line;
    return fmt::format("repeat reading {} (line {}): {}", check.repeats + 1, line, words);
}

void print_checks(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                  const Style& style) {
    const scale::Description& d = sheet.scale.description;
    if (found.next.empty()) {
        print_wrapped(out, "No reading that could still be taken tells these apart.");
        return;
    }
    for (std::size_t i = 0; i < found.next.size(); ++i) {
        const NextCheck& check = found.next[i];
        const std::string minutes = figures(check.minutes, 2);
        if (check.repeats < 0) {
            const std::string words = fmt::format("{}  {}", i + 1, planned_words(check, sheet));
            const std::string worth = fmt::format("({} min, clears up {})", minutes, percent(check.of_doubt));
            const bool in_a_line = display_width(words) + display_width(worth) + 3 <= page_width;
            print_wrapped(out, in_a_line ? words + " " + worth : words, 2);
            if (!in_a_line) print_wrapped(out, worth, 5);
        } else {
            const Reading& r = sheet.readings[static_cast<std::size_t>(check.repeats)];
            const std::string before = value_words(
                r, r.quantity == Quantity::resistance ? std::log(r.value) : r.value, MassWords(d));
            print_wrapped(out, fmt::format("{}  {} ({} min)", i + 1, planned_words(check, sheet), minutes),
                          2);
            print_wrapped(out,
                          fmt::format("{} again: it was read right, and something must explain it. Else, by "
                                      "all other readings:",
                                      before),
                          5);
        }
        print_outcomes(out, check, d, style);
    }
    std::string legend =
        "Clears up: the share of the doubt left between causes that it can be expected to remove";
    if (found.next.size() > 1) legend += ", each beside those before it. Its outcomes are of it alone";
    legend += ".";
    if (unlisted_share(found) >= worth_mentioning)
        legend += " Chances and shares hold if it is one of the causes on the list.";
    print_wrapped(out, legend, 2);
}

Json outcomes_json(const NextCheck& check, const scale::Description& d) {
    Json list = Json::array();
    const Reading& r = check.reading;
    for (const CheckOutcome& o : check.outcomes) {
        Json out = Json::object();
        if (r.quantity == Quantity::inspection) {
            out["found"] = o.as_it_should_be ? "as it should be" : "not";
            if (o.exchanged) out["exchanged"] = {scale::name_of(o.wire_a), scale::name_of(o.wire_b)};
        } else if (o.shown != Shown::value) {
            out["shown"] = shown_words(o.shown);
        } else {
            const auto [factor, unit] = unit_of(r, d);
            out["low"] = rounded(o.low * factor);
            out["high"] = rounded(o.high * factor);
            out["unit"] = unit;
        }
        out["chance"] = rounded(o.chance);
        out["leads"] = {{"name", scale::name_of(o.leads.fault.cause)},
                        {"where", where_json(o.leads.fault)},
                        {"probability", rounded(o.probability)},
                        {"group_probability", rounded(o.group_probability)}};
        if (o.leads.two_at_once()) {
            out["leads"]["with"] = {{"name", scale::name_of(o.leads.also.cause)},
                                    {"where", where_json(o.leads.also)}};
        }
        list.push_back(out);
    }
    return list;
}

}  // namespace cornerbench::report
