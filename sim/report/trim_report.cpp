#include "sim/report/trim_report.h"

#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/field/cause_catalogue.h"
#include "sim/report/finding_words.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using diagnosis::CornerTrim;
using diagnosis::TrimSolution;
using diagnosis::TrimStep;
using field::TrimPlan;
using field::TrimWay;

namespace {

/// Likelier than everything else together.
constexpr double stands_out = 0.5;

std::string corner(int index) {
    return std::to_string(index + 1);
}

/// Weights on this page have one place more than the display, so that a target can be met within a division.
std::string fine(double kg, const scale::Description& d) {
    const MassWords mass(d);
    return grouped(kg / scale::kilograms_in(d.unit), mass.decimals() + 1);
}

std::string position(double at, const TrimPlan& plan) {
    switch (plan.way()) {
        case TrimWay::turned:
            return fmt::format("{:.2f}", at);
        case TrimWay::fitted:
            return figures(at);
        case TrimWay::entered:
            break;
    }
    return fmt::format("{:.5f}", at);
}

/// What to solder in: a resistor's value, a wire link, or nothing new.
std::string resistor(double ohm, double present_ohm) {
    if (ohm == present_ohm) return "stays";
    return ohm == 0.0 ? "link" : figures(ohm);
}

void print_sentence(std::ostream& out, std::string text, int indent) {
    if (text.empty()) return;
    // A command or an option keeps its own letters.
    text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
    print_wrapped(out, text + ".", indent);
}

std::string which_way(const TrimPlan& plan) {
    switch (plan.way()) {
        case TrimWay::turned:
            return plan.lower_raises()
                       ? "Turns are counted from no resistance. Fewer turns raise the weight over a corner: "
                         "less resistance in its excitation lead. If the display goes the wrong way, turn "
                         "back."
                       : "Turns are counted from no resistance. More turns raise the weight over a corner: "
                         "more resistance across its signal pair. If the display goes the wrong way, turn "
                         "back.";
        case TrimWay::fitted:
            return plan.lower_raises()
                       ? "A smaller resistor raises the weight over its corner: less resistance in the "
                         "excitation lead. A link is a piece of wire."
                       : "A larger resistor raises the weight over its corner: more resistance across the "
                         "signal pair.";
        case TrimWay::entered:
            break;
    }
    return "A larger gain raises the weight over its corner.";
}

void print_settings(std::ostream& out, const TrimPage& page, const Style& style) {
    const TrimPlan& plan = page.plan;
    const TrimSolution& s = plan.solution;
    const scale::Description& d = page.scale.description;
    const TrimWay way = plan.way();
    out << '\n'
        << style(Tone::strong, way == TrimWay::turned   ? "Settings, in turns"
                               : way == TrimWay::fitted ? "Resistors, in ohm"
                                                        : "Corner gains")
        << '\n';
    Table table;
    table.column("corner", Align::right)
        .column("now", Align::right)
        .column(way == TrimWay::fitted ? "computed" : "set to", Align::right)
        .column("+/-", Align::right);
    if (way == TrimWay::turned) table.column("change", Align::right).column("ohm", Align::right);
    if (way == TrimWay::fitted) table.column("fit (E96)", Align::right);
    table.column("shows now", Align::right).column("afterwards", Align::right);
    std::string at_stop;
    std::string beyond;
    for (int i = 0; i < s.corner_count; ++i) {
        const CornerTrim& c = s.corners[static_cast<std::size_t>(i)];
        const bool plain = c.stays || way == TrimWay::fitted;
        std::vector<Cell> row{{corner(i), Tone::plain},
                              {position(c.present_at, plan), Tone::plain},
                              {c.stays ? "stays" : position(c.at, plan), plain ? Tone::plain : Tone::strong},
                              {c.stays ? "" : position(c.at_sd, plan), Tone::faint}};
        if (way == TrimWay::turned) {
            row.push_back({c.stays ? "" : fmt::format("{:+.2f}", c.at - c.present_at), Tone::plain});
            row.push_back({grouped(c.ohm, plan.trim.total_ohm < 1000.0 ? 2 : 0), Tone::plain});
        }
        if (way == TrimWay::fitted) row.push_back({resistor(c.fitted_ohm, c.present_ohm), Tone::strong});
        row.push_back({fine(c.before_kg, d), Tone::plain});
        row.push_back({fine(c.after_kg, d), Tone::plain});
        table.row(std::move(row));
        if (c.at_stop) at_stop = corner(i);
        if (c.beyond_ohm > 0.0) beyond += (beyond.empty() ? "" : ", ") + corner(i);
    }
    table.print(out, style);
    std::string below = which_way(plan);
    if (!at_stop.empty()) below += " Corner " + at_stop + " gives least: its trim takes nothing away.";
    if (!beyond.empty()) below += " At the far end of their trims, and still too heavy: " + beyond + ".";
    print_wrapped(out, below, 2);
}

const char* tendency(const TrimStep& step, double division_kg) {
    const double change = step.target.kg - step.before.kg;
    if (step.from_at == step.to_at || std::fabs(change) < 0.05 * division_kg) return "stays";
    return change > 0.0 ? "rises" : "falls";
}

/// The targets for a display that shows whole divisions only.
void print_changeovers(std::ostream& out, const TrimPage& page, const Style& style) {
    const TrimPlan& plan = page.plan;
    const TrimSolution& s = plan.solution;
    const scale::Description& d = page.scale.description;
    const bool fitted = plan.way() == TrimWay::fitted;
    const MassWords mass(d);
    out << '\n'
        << style(Tone::strong,
                 "The same on a display of whole divisions, " + mass.with_unit(plan.division_kg))
        << '\n';
    Table table;
    table.column("", Align::right).column("over", Align::right);
    if (!fitted) table.column("target", Align::right).column("with", Align::right);
    table.column("emptied", Align::right).column(fitted ? "must show" : "check", Align::right);
    table.column("with", Align::right);
    for (int i = 0; i < s.step_count; ++i) {
        const TrimStep& step = s.steps[static_cast<std::size_t>(i)];
        std::vector<Cell> row{{std::to_string(i + 1), Tone::plain}, {corner(step.corner), Tone::plain}};
        const auto changeover = [&](const diagnosis::Display& display) {
            row.push_back({mass.number(display.rounded_kg), Tone::strong});
            row.push_back({fine(small_weights_kg(display, plan.division_kg), d), Tone::strong});
        };
        if (!fitted) changeover(step.target);
        row.push_back({mass.number(step.emptied.rounded_kg), Tone::plain});
        changeover(fitted && !s.zero_before_each ? step.target : step.check);
        table.row(std::move(row));
    }
    table.print(out, style);
    print_wrapped(
        out,
        fmt::format("With so much in small weights ('with', in {}) beside the load, the display must stand "
                    "just where it changes over from what is shown here to the next division: that is how "
                    "a target between two divisions is read (OIML R 76-1, A.4.4.3). Weights down to a tenth "
                    "of a division, {}, are fine enough; a display in tenths of a division does without.",
                    mass.unit(), fine(0.1 * plan.division_kg, d) + " " + mass.unit()),
        2);
}

void print_round(std::ostream& out, const TrimPage& page, const Style& style) {
    const TrimPlan& plan = page.plan;
    const TrimSolution& s = plan.solution;
    const scale::Description& d = page.scale.description;
    const bool fitted = plan.way() == TrimWay::fitted;
    const bool entered = plan.way() == TrimWay::entered;
    out << '\n' << style(Tone::strong, "The round, weight over each corner once") << '\n';
    Table table;
    table.column("", Align::right).column("over", Align::right);
    table.column(fitted ? "fit, ohm" : entered ? "enter gain" : "turn to", Align::right);
    table.column("shows", Align::right).column("weight");
    if (!fitted) table.column(entered ? "must show" : "turn until", Align::right);
    table.column("emptied", Align::right).column(fitted ? "must show" : "check", Align::right);
    for (int i = 0; i < s.step_count; ++i) {
        const TrimStep& step = s.steps[static_cast<std::size_t>(i)];
        const bool stays = step.from_at == step.to_at;
        std::vector<Cell> row{{std::to_string(i + 1), Tone::plain}, {corner(step.corner), Tone::plain}};
        row.push_back({fitted  ? resistor(step.to_at, step.from_at)
                       : stays ? "leave it"
                               : position(step.to_at, plan),
                       fitted || entered ? Tone::strong : Tone::plain});
        row.push_back({fine(step.before.kg, d), Tone::plain});
        row.push_back({tendency(step, plan.division_kg), Tone::plain});
        if (!fitted) row.push_back({fine(step.target.kg, d), Tone::strong});
        row.push_back({fine(step.emptied.kg, d), Tone::plain});
        const double last = fitted && !s.zero_before_each ? step.target.kg : step.check.kg;
        row.push_back({fine(last, d), fitted ? Tone::strong : Tone::plain});
        table.row(std::move(row));
    }
    table.print(out, style);
    std::string how =
        fmt::format("Weights in {}, at the span that the indicator has now.", MassWords(d).unit());
    how += s.zero_before_each ? " Set zero on the empty deck before each corner."
                              : " Leave the indicator's zero as it is all the way.";
    if (fitted) {
        how +=
            " Read the weight over the corner, take it off, switch off and fit the resistor. Where the "
            "indicator has kept its zero, the empty deck then shows 'emptied'.";
        how += s.zero_before_each ? " Set zero, put the weight on again: the display must show 'must show'."
                                  : " Put the weight on again: the display must show 'must show'.";
    } else {
        how += entered ? " With the weight on, enter the gain: the display must show 'must show'."
                       : " With the weight on, turn until the display shows the target.";
        how +=
            " Take the weight off and it must show 'emptied'. If it does not, set zero, put the weight on "
            "again and ";
        how += entered ? "change the gain until it shows 'check'," : "turn to 'check',";
        how += " which holds whatever the cell's zero is.";
    }
    print_wrapped(out, how, 2);
    if (shows_whole_divisions(plan)) print_changeovers(out, page, style);
}

void print_rest(std::ostream& out, const TrimPage& page, const Style& style) {
    const TrimPlan& plan = page.plan;
    const TrimSolution& s = plan.solution;
    out << '\n' << style(Tone::strong, "What remains between the corners") << '\n';
    Table table;
    table.column("largest less smallest")
        .column("expected", Align::right)
        .column("at most (95 %)", Align::right);
    const auto in_divisions = [&](double kg) { return grouped(kg / plan.division_kg, 1) + " d"; };
    const auto row = [&](const char* what, const diagnosis::Spread& spread) {
        table.row({{what, Tone::plain},
                   {in_divisions(spread.expected_kg), Tone::plain},
                   {in_divisions(spread.within_95_kg), Tone::plain}});
    };
    switch (plan.way()) {
        case TrimWay::turned:
            row("set by counting turns", s.by_position);
            row("set by the display", s.by_display);
            break;
        case TrimWay::fitted:
            row("with these resistors", s.by_position);
            break;
        case TrimWay::entered:
            row("gains as computed", s.by_position);
            row("gains changed until the display is right", s.by_display);
            break;
    }
    table.print(out, style);
    print_wrapped(
        out, "The mean signal changes by " + signed_grouped(100.0 * (s.signal_change - 1.0), 2) + " %.", 2);
}

/// The diagnosis' first answer, where it stands in nobody's way.
void print_diagnosis_line(std::ostream& out, const TrimPage& page) {
    if (page.diagnosed.candidates.empty() || page.plan.suspicion.verdict != field::TrimOrFault::trim) return;
    const diagnosis::Candidate& first = page.diagnosed.candidates.front();
    if (!field::a_trims_business(first)) return;
    const bool sound = first.fault.cause == scale::Cause::healthy;
    print_wrapped(
        out, fmt::format("Diagnosed from the same sheet: {} ({}){}",
                         cause_words(first, page.scale.description), probability_words(first.probability),
                         sound ? "; no fault stands out."
                               : fmt::format(" {}, and a trim may mend it.",
                                             first.probability > stands_out ? "stands out" : "comes first")));
}

}  // namespace

void print_trim_plan(std::ostream& out, const TrimPage& page, const Style& style) {
    const TrimWords words = trim_words(page);
    out << style(Tone::strong, page.scale.name) << ": trim plan for " << page.plan.solution.corner_count
        << " corners\n\n";
    print_sentence(out, words.outcome, 0);
    print_diagnosis_line(out, page);
    if (!words.before.empty()) {
        out << '\n' << style(Tone::caution, "Before a trim is touched") << '\n';
        for (const std::string& text : words.before) print_sentence(out, text, 2);
    }
    if (page.plan.shows_settings()) print_settings(out, page, style);
    if (page.plan.to_do()) {
        print_round(out, page, style);
        print_rest(out, page, style);
    }
    if (!words.advice.empty()) {
        out << '\n' << style(Tone::strong, "Mind") << '\n';
        for (const std::string& text : words.advice) print_sentence(out, text, 2);
        print_wrapped(out, field::text_of(field::Caution::mains), 2);
        print_wrapped(out, field::text_of(field::Caution::seals), 2);
    }
}

}  // namespace cornerbench::report
