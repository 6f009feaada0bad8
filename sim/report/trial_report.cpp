#include "sim/report/trial_report.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/field/share_interval.h"
#include "sim/report/json_document.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

namespace {

double share(double part, int whole) {
    return whole > 0 ? part / whole : 0.0;
}

/// Standard uncertainty of a share of `count` independent trials (binomial). Summing may leave the
/// probability a last digit above 1.
double share_uncertainty(double probability, int count) {
    const double p = std::clamp(probability, 0.0, 1.0);
    return count > 0 ? std::sqrt(p * (1.0 - p) / count) : 0.0;
}

void print_reliability(std::ostream& out, const field::Trial& trial, const Style& style) {
    out << '\n' << style(Tone::strong, "What was said, and what came true") << '\n';
    Table table;
    table.column("stated").column("statements", Align::right).column("mean stated", Align::right);
    table.column("came true", Align::right).column("std. uncertainty", Align::right);
    for (int b = 0; b < field::reliability_bins; ++b) {
        const field::ReliabilityBin& bin = trial.reliability[static_cast<unsigned>(b)];
        if (bin.statements == 0) continue;
        const double stated = share(bin.stated, bin.statements);
        table.row({{fmt::format("{} to {} %", 10 * b, 10 * (b + 1)), Tone::plain},
                   {grouped(bin.statements), Tone::plain},
                   {grouped(100.0 * stated, 2) + " %", Tone::plain},
                   {grouped(100.0 * share(bin.true_ones, bin.statements), 2) + " %", Tone::plain},
                   {grouped(100.0 * share_uncertainty(stated, bin.statements), 2) + " %", Tone::plain}});
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

/// What came first instead of each cause, the most frequent first.
std::vector<std::pair<int, scale::Cause>> mistaken_for(const field::CauseTally& tally) {
    std::vector<std::pair<int, scale::Cause>> taken;
    for (int i = 0; i < scale::cause_count; ++i)
        if (const int times = tally.mistaken_for[static_cast<unsigned>(i)]; times > 0)
            taken.emplace_back(times, static_cast<scale::Cause>(i));
    std::stable_sort(taken.begin(), taken.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });
    return taken;
}

void print_confusion(std::ostream& out, const field::Trial& trial, const Style& style) {
    if (trial.on_top == trial.sheets - trial.failed) return;
    out << '\n' << style(Tone::strong, "What came first instead") << '\n';
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto taken = mistaken_for(trial.causes[static_cast<unsigned>(i)]);
        if (taken.empty()) continue;
        const scale::Cause truth = static_cast<scale::Cause>(i);
        std::string text;
        for (const auto& [times, cause] : taken)
            text += fmt::format("{} {} {}", text.empty() ? "" : ",",
                                cause == truth ? "itself elsewhere" : scale::name_of(cause), times);
        text = std::string(scale::name_of(truth)) + ":" + text;
        print_wrapped(out, text, 2);
    }
}

std::string interval_words(const field::ShareInterval& interval) {
    return fmt::format("{} to {} %", grouped(100.0 * interval.low, 2), grouped(100.0 * interval.high, 2));
}

void print_false_alarms(std::ostream& out, const field::Trial& trial, const Style& style) {
    const int answered = trial.sheets - trial.failed;
    const field::FalseAlarms all = trial.all_false_alarms();
    out << style(Tone::strong, "What came first on the sheets of a sound scale") << '\n';
    Table table;
    table.column("").column("sheets", Align::right).column("share", Align::right);
    table.column("95 % interval", Align::right).column("above 90 %", Align::right);
    const auto row = [&](const std::string& name, int first, const std::string& sure, Tone tone) {
        table.row({{name, tone},
                   {grouped(first), tone},
                   {grouped(100.0 * share(first, answered), 2) + " %", tone},
                   {interval_words(field::share_interval(first, answered)), tone},
                   {sure, tone}});
    };
    row("healthy", answered - all.first, "", Tone::plain);
    row("a false alarm", all.first, std::to_string(all.sure), Tone::strong);
    for (int i = 0; i < scale::cause_count; ++i) {
        const field::FalseAlarms& kind = trial.false_alarms[static_cast<unsigned>(i)];
        if (kind.first == 0) continue;
        row(fmt::format("  {}", scale::name_of(static_cast<scale::Cause>(i))), kind.first,
            std::to_string(kind.sure), Tone::plain);
    }
    table.print(out, style);
    const field::CauseTally& sound =
        trial.causes[static_cast<unsigned>(scale::index_of(scale::Cause::healthy))];
    print_wrapped(
        out,
        fmt::format("Above 90 %: so many of them were stated with a probability above 90 %. Healthy was "
                    "given {} on average. No answer: {}.",
                    percent(share(sound.probability, sound.drawn)), trial.failed),
        2);
}

Json alarms_json(const field::FalseAlarms& alarms, int answered) {
    const field::ShareInterval interval = field::share_interval(alarms.first, answered);
    return {{"first", alarms.first},
            {"share", share(alarms.first, answered)},
            {"low", interval.low},
            {"high", interval.high},
            {"sure", alarms.sure}};
}

Json false_alarms_json(const field::Trial& trial) {
    const int answered = trial.sheets - trial.failed;
    Json json = alarms_json(trial.all_false_alarms(), answered);
    json["sheets"] = answered;
    json["kinds"] = Json::array();
    for (int i = 0; i < scale::cause_count; ++i) {
        const field::FalseAlarms& alarms = trial.false_alarms[static_cast<unsigned>(i)];
        if (alarms.first == 0) continue;
        Json kind = alarms_json(alarms, answered);
        kind["name"] = scale::name_of(static_cast<scale::Cause>(i));
        json["kinds"].push_back(kind);
    }
    return json;
}

}  // namespace

void print_trial(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                 const field::Trial& trial, const Style& style) {
    const int answered = trial.sheets - trial.failed;
    out << style(Tone::strong, scale)
        << fmt::format(": {} made-up {}, seeds {} to {}\n\n", trial.sheets,
                       setting.healthy ? "sheets of a sound scale" : "complaints", setting.first_seed,
                       setting.first_seed + static_cast<std::uint64_t>(trial.sheets) - 1U);
    if (setting.healthy) {
        print_false_alarms(out, trial, style);
        return;
    }
    const auto line = [&](const char* what, int count) {
        out << fmt::format("  {:<46}{:>6}  {}\n", what, count, percent(share(count, answered)));
    };
    line("the true cause at its place came first", trial.on_top);
    line("... or one that no reading here tells from it", trial.in_top_group);
    line("it was among the first three", trial.in_top_three);
    out << fmt::format("  {:<46}{:>6}\n", "no answer", trial.failed);
    const auto of_some = [&](const char* what, int part, int whole) {
        if (whole == 0) return;
        out << fmt::format("  {:<46}{:>6}  {} of {}\n", what, part, percent(share(part, whole)), whole);
    };
    of_some("a fault was taken for healthy", trial.misses, trial.faults);
    of_some("plain faults: first, or in four at most", trial.plain_answers, trial.plain);
    of_some("mistyped values named", trial.wild_named, trial.wild);
    of_some("... and the true cause or its group first", trial.wild_answers, trial.wild);
    of_some("... where it was before the slip", trial.still_right, trial.right_as_read);
    // 2 to the mean of the logarithms is the geometric mean.
    out << fmt::format("  {:<46}{:>6}  {}\n", "given to the true cause, geometric mean", "",
                       percent(std::exp2(-share(trial.log_score, answered))));
    out << fmt::format("  {:<46}{:>6}  {}\n", "Brier score, mean (0 is certain and right)", "",
                       grouped(share(trial.brier, answered), 3));
    out << fmt::format("  {:<46}{:>6}  {} points\n", "stated and true apart, mean over statements", "",
                       grouped(100.0 * trial.calibration_error(), 2));
    print_reliability(out, trial, style);
    print_causes(out, trial, style);
    print_confusion(out, trial, style);
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
    document["faults"] = trial.faults;
    document["misses"] = trial.misses;
    document["plain_faults"] = trial.plain;
    document["plain_answers"] = trial.plain_answers;
    if (trial.wild > 0) {
        document["mistyped"] = {{"sheets", trial.wild},
                                {"named", trial.wild_named},
                                {"named_and_right", trial.wild_answers},
                                {"right_as_read", trial.right_as_read},
                                {"still_right", trial.still_right}};
    }
    document["bits"] = share(trial.log_score, answered);
    document["brier"] = share(trial.brier, answered);
    document["calibration_error"] = trial.calibration_error();
    if (setting.healthy) document["false_alarms"] = false_alarms_json(trial);
    document["causes"] = Json::array();
    for (int i = 0; i < scale::cause_count; ++i) {
        const field::CauseTally& tally = trial.causes[static_cast<unsigned>(i)];
        if (tally.drawn == 0) continue;
        Json cause{{"name", scale::name_of(static_cast<scale::Cause>(i))},
                   {"drawn", tally.drawn},
                   {"on_top", tally.on_top},
                   {"in_top_group", tally.in_top_group},
                   {"mean_probability", share(tally.probability, tally.drawn)},
                   {"mistaken_for", Json::object()}};
        for (const auto& [times, taken] : mistaken_for(tally))
            cause["mistaken_for"][std::string(scale::name_of(taken))] = times;
        document["causes"].push_back(cause);
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
