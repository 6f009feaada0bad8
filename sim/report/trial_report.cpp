#include "sim/report/trial_report.h"

#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/json_document.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

namespace {

double share(double part, int whole) {
    return whole > 0 ? part / whole : 0.0;
}

/// Standard deviation of a share of `count` independent trials (binomial).
double share_deviation(double probability, int count) {
    return count > 0 ? std::sqrt(probability * (1.0 - probability) / count) : 0.0;
}

void print_reliability(std::ostream& out, const field::Trial& trial, const Style& style) {
    out << '\n' << style(Tone::strong, "What was said, and what came true") << '\n';
    Table table;
    table.column("stated").column("statements", Align::right).column("mean stated", Align::right);
    table.column("came true", Align::right).column("give or take", Align::right);
    for (int b = 0; b < field::reliability_bins; ++b) {
        const field::ReliabilityBin& bin = trial.reliability[static_cast<unsigned>(b)];
        if (bin.statements == 0) continue;
        const double stated = share(bin.stated, bin.statements);
        table.row({{fmt::format("{} to {} %", 10 * b, 10 * (b + 1)), Tone::plain},
                   {grouped(bin.statements), Tone::plain},
                   {grouped(100.0 * stated, 2) + " %", Tone::plain},
                   {grouped(100.0 * share(bin.true_ones, bin.statements), 2) + " %", Tone::plain},
                   {grouped(100.0 * share_deviation(stated, bin.statements), 2) + " %", Tone::plain}});
    }
    table.print(out, style);
}

void print_causes(std::ostream& out, const field::Trial& trial, const Style& style) {
    out << '\n' << style(Tone::strong, "By cause") << '\n';
    Table table;
    table.column("true cause").column("drawn", Align::right).column("on top", Align::right);
    table.column("or its group", Align::right).column("mean probability", Align::right);
    for (int i = 0; i < scale::cause_count; ++i) {
        const field::CauseTally& tally = trial.causes[static_cast<unsigned>(i)];
        if (tally.drawn == 0) continue;
        table.row({{scale::name_of(static_cast<scale::Cause>(i)), Tone::plain},
                   {std::to_string(tally.drawn), Tone::plain},
                   {std::to_string(tally.on_top), Tone::plain},
                   {std::to_string(tally.in_top_group), Tone::plain},
                   {percent(share(tally.probability, tally.drawn)), Tone::plain}});
    }
    table.print(out, style);
}

}  // namespace

void print_trial(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                 const field::Trial& trial, const Style& style) {
    const int answered = trial.sheets - trial.failed;
    out << style(Tone::strong, scale)
        << fmt::format(": {} made-up complaints, seeds {} to {}\n\n", trial.sheets, setting.first_seed,
                       setting.first_seed + static_cast<std::uint64_t>(trial.sheets) - 1U);
    const auto line = [&](const char* what, int count) {
        out << fmt::format("  {:<46}{:>6}  {}\n", what, count, percent(share(count, answered)));
    };
    line("the true cause at its place came first", trial.on_top);
    line("... or one that no reading here tells from it", trial.in_top_group);
    line("it was among the first three", trial.in_top_three);
    out << fmt::format("  {:<46}{:>6}\n", "no answer", trial.failed);
    out << fmt::format("  mean surprise {} bits\n", grouped(share(trial.log_score, answered), 2));
    print_reliability(out, trial, style);
    print_causes(out, trial, style);
}

void print_trial_json(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                      const field::Trial& trial) {
    const int answered = trial.sheets - trial.failed;
    Json document = json_document();
    document["scale"] = scale;
    document["sheets"] = trial.sheets;
    document["seed"] = setting.first_seed;
    document["failed"] = trial.failed;
    document["on_top"] = share(trial.on_top, answered);
    document["in_top_three"] = share(trial.in_top_three, answered);
    document["in_top_group"] = share(trial.in_top_group, answered);
    document["bits"] = share(trial.log_score, answered);
    document["causes"] = Json::array();
    for (int i = 0; i < scale::cause_count; ++i) {
        const field::CauseTally& tally = trial.causes[static_cast<unsigned>(i)];
        if (tally.drawn == 0) continue;
        document["causes"].push_back({{"name", scale::name_of(static_cast<scale::Cause>(i))},
                                      {"drawn", tally.drawn},
                                      {"on_top", tally.on_top},
                                      {"in_top_group", tally.in_top_group},
                                      {"mean_probability", share(tally.probability, tally.drawn)}});
    }
    document["reliability"] = Json::array();
    for (int b = 0; b < field::reliability_bins; ++b) {
        const field::ReliabilityBin& bin = trial.reliability[static_cast<unsigned>(b)];
        document["reliability"].push_back({{"from", 0.1 * b},
                                           {"to", 0.1 * (b + 1)},
                                           {"statements", bin.statements},
                                           {"stated", share(bin.stated, bin.statements)},
                                           {"came_true", share(bin.true_ones, bin.statements)}});
    }
    print_json(out, document);
}

}  // namespace cornerbench::report
