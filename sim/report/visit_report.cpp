#include "sim/report/visit_report.h"

#include <spdlog/fmt/fmt.h>

#include "sim/report/json_document.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

namespace {

double share(int part, int whole) {
    return whole > 0 ? static_cast<double>(part) / whole : 0.0;
}

std::string minutes(double value) {
    return grouped(value, 0);
}

void print_ways(std::ostream& out, const field::VisitTrial& trial, const Style& style) {
    Table table;
    table.column("checks by").column("median", Align::right).column("quartiles", Align::right);
    table.column("most", Align::right).column("checks", Align::right).column("sure", Align::right);
    table.column("right", Align::right).column("sure, wrong", Align::right);
    const auto row = [&](const char* name, const field::VisitTally& t) {
        table.row({{name, Tone::strong},
                   {minutes(t.minutes[2]) + " min", Tone::strong},
                   {fmt::format("{} to {}", minutes(t.minutes[1]), minutes(t.minutes[3])), Tone::plain},
                   {minutes(t.minutes[4]), Tone::plain},
                   {grouped(t.mean_checks, 1), Tone::plain},
                   {percent(share(t.sure, t.visits)), Tone::plain},
                   {percent(share(t.right, t.visits)), Tone::plain},
                   {percent(share(t.sure_wrong, t.visits)), Tone::plain}});
    };
    row("the plan", trial.plan);
    row("the textbook", trial.textbook);
    table.print(out, style);
}

void print_causes(std::ostream& out, const field::VisitTrial& trial, const Style& style) {
    out << '\n' << style(Tone::strong, "By cause: median minutes, and how many were right") << '\n';
    Table table;
    table.column("true cause").column("drawn", Align::right).column("plan", Align::right);
    table.column("textbook", Align::right).column("right by plan", Align::right);
    table.column("by textbook", Align::right);
    for (int i = 0; i < scale::cause_count; ++i) {
        const field::VisitsOfCause& of = trial.causes[static_cast<std::size_t>(i)];
        if (of.visits == 0) continue;
        table.row({{scale::name_of(static_cast<scale::Cause>(i)), Tone::plain},
                   {std::to_string(of.visits), Tone::plain},
                   {minutes(of.plan.minutes[2]), Tone::plain},
                   {minutes(of.textbook.minutes[2]), Tone::plain},
                   {std::to_string(of.plan.right), Tone::plain},
                   {std::to_string(of.textbook.right), Tone::plain}});
    }
    table.print(out, style);
}

Json tally_json(const field::VisitTally& t) {
    return {{"minutes",
             {{"least", t.minutes[0]},
              {"lower_quartile", t.minutes[1]},
              {"median", t.minutes[2]},
              {"upper_quartile", t.minutes[3]},
              {"most", t.minutes[4]}}},
            {"checks", t.mean_checks},
            {"right", share(t.right, t.visits)},
            {"sure", share(t.sure, t.visits)},
            {"sure_and_wrong", share(t.sure_wrong, t.visits)}};
}

}  // namespace

void print_visits(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                  const field::VisitTrial& trial, const Style& style) {
    const int visits = trial.plan.visits;
    out << style(Tone::strong, scale)
        << fmt::format(": {} made-up visits, seeds {} to {}\n\n", visits, setting.first_seed,
                       setting.first_seed + static_cast<std::uint64_t>(visits) - 1U);
    print_ways(out, trial, style);
    out << '\n';
    if (trial.textbook.minutes[2] > 0.0) {
        print_wrapped(out,
                      fmt::format("On the median the plan takes {} of the textbook's minutes.",
                                  percent(1.0 - trial.saved())),
                      2);
    }
    print_wrapped(
        out,
        "Each visit begins with the weights over the corners, whose minutes do not count, and ends "
        "once a cause at its place, or a group that no reading splits, is as likely as 95 %; or "
        "when nothing is left to read. Sure: ended so. Right: the true cause at its place came first, "
        "or is one of that group.",
        2);
    print_causes(out, trial, style);
}

void print_visits_json(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                       const field::VisitTrial& trial) {
    Json document = json_document();
    document["scale"] = scale;
    document["visits"] = trial.plan.visits;
    document["seed"] = setting.first_seed;
    document["saved"] = trial.saved();
    document["plan"] = tally_json(trial.plan);
    document["textbook"] = tally_json(trial.textbook);
    document["causes"] = Json::array();
    for (int i = 0; i < scale::cause_count; ++i) {
        const field::VisitsOfCause& of = trial.causes[static_cast<std::size_t>(i)];
        if (of.visits == 0) continue;
        document["causes"].push_back({{"name", scale::name_of(static_cast<scale::Cause>(i))},
                                      {"drawn", of.visits},
                                      {"plan", tally_json(of.plan)},
                                      {"textbook", tally_json(of.textbook)}});
    }
    print_json(out, document);
}

}  // namespace cornerbench::report
