#include "sim/report/trim_report.h"

#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/field/cause_catalogue.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using diagnosis::CornerTrim;
using diagnosis::TrimSolution;
using diagnosis::TrimStep;

namespace {

std::string corner(int index) {
    return std::to_string(index + 1);
}

/// Weights on this page have one place more than the display, so that a target can be met within a division.
std::string fine(double kg, const scale::Description& d) {
    const MassWords mass(d);
    return grouped(kg / scale::kilograms_in(d.unit), mass.decimals() + 1);
}

std::string position(double at, const field::TrimPlan& plan) {
    if (plan.solution.digital) return fmt::format("{:.5f}", at);
    return plan.trim.turns > 0.0 ? fmt::format("{:.2f}", at) : figures(at, 4);
}

const char* position_unit(const field::TrimPlan& plan) {
    if (plan.solution.digital) return "gain";
    return plan.trim.turns > 0.0 ? "turns" : "ohm";
}

void print_settings(std::ostream& out, const field::TrimPlan& plan, const files::ScaleFile& scale,
                    const Style& style) {
    const TrimSolution& s = plan.solution;
    const scale::Description& d = scale.description;
    const bool turned = !s.digital && plan.trim.turns > 0.0;
    const bool fixed = !s.digital && plan.trim.turns <= 0.0;
    out << '\n' << style(Tone::strong, "Settings") << '\n';
    Table table;
    table.column("corner", Align::right)
        .column(fmt::format("now, {}", position_unit(plan)), Align::right)
        .column(fmt::format("set to, {}", position_unit(plan)), Align::right)
        .column("+/-", Align::right);
    if (turned) table.column("change", Align::right).column("ohm", Align::right);
    if (fixed) table.column("E96 value", Align::right);
    table.column("shows now", Align::right).column("afterwards", Align::right).column("");
    for (int i = 0; i < s.corner_count; ++i) {
        const CornerTrim& c = s.corners[static_cast<std::size_t>(i)];
        std::vector<Cell> row{{corner(i), Tone::plain},
                              {position(c.present_at, plan), Tone::plain},
                              {position(c.at, plan), Tone::strong},
                              {position(c.at_sd, plan), Tone::faint}};
        if (turned) {
            row.push_back({fmt::format("{:+.2f}", c.at - c.present_at), Tone::plain});
            row.push_back({fmt::format("{:.2f}", c.ohm), Tone::plain});
        }
        if (fixed) row.push_back({figures(c.fitted_ohm, 4), Tone::strong});
        row.push_back({fine(c.before_kg, d), Tone::plain});
        row.push_back({fine(c.after_kg, d), Tone::plain});
        row.push_back({c.at_stop ? "at its stop" : "", Tone::faint});
        table.row(std::move(row));
    }
    table.print(out, style);
}

void print_round(std::ostream& out, const field::TrimPlan& plan, const files::ScaleFile& scale,
                 const Style& style) {
    const TrimSolution& s = plan.solution;
    const scale::Description& d = scale.description;
    const MassWords mass(d);
    out << '\n' << style(Tone::strong, "The round, weight over each corner once") << '\n';
    Table table;
    table.column("", Align::right)
        .column("over", Align::right)
        .column(fmt::format("turn to, {}", position_unit(plan)), Align::right)
        .column("shows", Align::right)
        .column("turn until", Align::right)
        .column("emptied", Align::right)
        .column("check", Align::right);
    for (int i = 0; i < s.step_count; ++i) {
        const TrimStep& step = s.steps[static_cast<std::size_t>(i)];
        const bool stays = step.from_at == step.to_at;
        table.row({{std::to_string(i + 1), Tone::plain},
                   {corner(step.corner), Tone::plain},
                   {stays ? "leave it" : position(step.to_at, plan), Tone::plain},
                   {fine(step.before.kg, d), Tone::plain},
                   {fine(step.target.kg, d), Tone::strong},
                   {fine(step.emptied.kg, d), Tone::plain},
                   {fine(step.check.kg, d), Tone::plain}});
    }
    table.print(out, style);
    std::string how = fmt::format("Weights in {}, at the span that the indicator has now.", mass.unit());
    how += s.zero_before_each ? " Set zero on the empty deck before each corner."
                              : " Leave the indicator's zero as it is all the way.";
    how +=
        " With the weight on, turn until the display shows the target; take the weight off and it must show "
        "'emptied'. If it does not, set zero, put the weight on again and turn to 'check', which holds "
        "whatever "
        "the cell's zero is.";
    print_wrapped(out, how, 2);
}

}  // namespace

void print_trim_plan(std::ostream& out, const field::TrimPlan& plan, const files::ScaleFile& scale,
                     const Style& style) {
    const TrimSolution& s = plan.solution;
    out << style(Tone::strong, plan.scale_name) << ": trim plan for " << s.corner_count << " corners\n\n";
    std::string outcome = plan.outcome;
    if (!outcome.empty())
        outcome[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(outcome[0])));
    print_wrapped(out, outcome + ".");
    if (plan.to_do()) {
        print_settings(out, plan, scale, style);
        print_round(out, plan, scale, style);
        out << '\n' << style(Tone::strong, "What remains between the corners") << '\n';
        Table table;
        table.column("").column("expected", Align::right).column("95 of 100 within", Align::right);
        const auto in_divisions = [&](double kg) {
            return fmt::format("{:.1f} d", kg / scale.description.division_kg);
        };
        const auto row = [&](const char* what, const diagnosis::Spread& spread) {
            table.row({{what, Tone::plain},
                       {in_divisions(spread.expected_kg), Tone::plain},
                       {in_divisions(spread.within_95_kg), Tone::plain}});
        };
        row("set by turns", s.by_position);
        row("set by the display", s.by_display);
        table.print(out, style);
        print_wrapped(
            out, fmt::format("The mean signal changes by {:+.2f} %.", 100.0 * (s.signal_change - 1.0)), 2);
    }
    if (!plan.advice.empty()) {
        out << '\n' << style(Tone::strong, "Mind") << '\n';
        for (std::string text : plan.advice) {
            if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
            print_wrapped(out, text + ".", 2);
        }
        print_wrapped(out, field::text_of(field::Caution::mains), 2);
        print_wrapped(out, field::text_of(field::Caution::seals), 2);
    }
}

}  // namespace cornerbench::report
