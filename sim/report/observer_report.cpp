#include "sim/report/observer_report.h"

#include <functional>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/report/json_document.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

namespace {

double share(double part, int whole) {
    return whole > 0 ? part / whole : 0.0;
}

int answered(const field::Trial& t) {
    return t.sheets - t.failed;
}

int sound(const field::Trial& t) {
    return t.causes[static_cast<std::size_t>(scale::index_of(scale::Cause::healthy))].drawn;
}

struct Score {
    const char* key;
    const char* words;
    std::function<double(const field::Trial&)> of;
    bool is_share = true;
    bool more_is_better = true;
};

const std::vector<Score>& scores() {
    using field::Trial;
    static const std::vector<Score> all = {
        {"on_top", "right cause and place first",
         [](const Trial& t) { return share(t.on_top, answered(t)); }},
        {"in_top_three", "among the first three",
         [](const Trial& t) { return share(t.in_top_three, answered(t)); }},
        {"in_top_group", "first, or in the group that is",
         [](const Trial& t) { return share(t.in_top_group, answered(t)); }},
        {"misses", "faults taken for healthy", [](const Trial& t) { return share(t.misses, t.faults); }, true,
         false},
        {"false_alarms", "sound scales not taken for healthy",
         [](const Trial& t) { return share(t.all_false_alarms().first, sound(t)); }, true, false},
        {"brier", "Brier score (0 is best)", [](const Trial& t) { return share(t.brier, answered(t)); },
         false, false},
        {"calibration_error", "calibration error", [](const Trial& t) { return t.calibration_error(); },
         false, false},
        {"bits", "surprise, bits a sheet", [](const Trial& t) { return share(t.log_score, answered(t)); },
         false, false},
    };
    return all;
}

/// The causes of the trial, and what each of the two made of them.
void print_causes(std::ostream& out, const field::ObserverTrial& trial, const Style& style) {
    out << '\n' << style(Tone::strong, "By cause") << '\n';
    Table table;
    table.column("true cause").column("drawn", Align::right);
    table.column("first", Align::right).column("ideal", Align::right);
    table.column("its probability", Align::right).column("ideal", Align::right);
    for (std::size_t i = 0; i < trial.diagnosis.causes.size(); ++i) {
        const field::CauseTally& found = trial.diagnosis.causes[i];
        const field::CauseTally& ideal = trial.ideal.causes[i];
        if (found.drawn == 0) continue;
        table.row({{scale::name_of(static_cast<scale::Cause>(i)), Tone::plain},
                   {std::to_string(found.drawn), Tone::plain},
                   {std::to_string(found.on_top), Tone::strong},
                   {std::to_string(ideal.on_top), Tone::plain},
                   {percent(share(found.probability, found.drawn)), Tone::strong},
                   {percent(share(ideal.probability, ideal.drawn)), Tone::plain}});
    }
    table.print(out, style);
    print_wrapped(out,
                  "first: the true cause at its place came first; its probability: what was given to it on "
                  "average. Beside each stands what the ideal observer makes of the same sheets.",
                  2);
}

Json causes_json(const field::ObserverTrial& trial) {
    Json causes = Json::array();
    for (std::size_t i = 0; i < trial.diagnosis.causes.size(); ++i) {
        const field::CauseTally& found = trial.diagnosis.causes[i];
        if (found.drawn == 0) continue;
        Json one = Json::object();
        one["cause"] = scale::name_of(static_cast<scale::Cause>(i));
        one["drawn"] = found.drawn;
        const auto both = [&](const char* key, const field::CauseTally& of) {
            one[key] = {{"on_top", of.on_top},
                        {"in_top_group", of.in_top_group},
                        {"mean_probability", share(of.probability, of.drawn)}};
        };
        both("diagnosis", found);
        both("ideal", trial.ideal.causes[i]);
        causes.push_back(one);
    }
    return causes;
}

/// What of the ideal observer's score the diagnosis reaches; nothing where there is none to reach.
std::string reached_words(const Score& score, const field::ObserverTrial& trial) {
    const double ideal = score.of(trial.ideal);
    if (!score.more_is_better || !(ideal > 0.0)) return "";
    return percent(score.of(trial.diagnosis) / ideal);
}

Json scores_json(const field::Trial& trial) {
    Json out = Json::object();
    for (const Score& score : scores()) out[score.key] = score.of(trial);
    return out;
}

}  // namespace

void print_observer(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                    const field::ObserverTrial& trial, const Style& style) {
    out << style(Tone::strong, scale)
        << fmt::format(": {} made-up complaints, seeds {} to {}, beside an ideal observer\n\n",
                       setting.sheets, setting.first_seed,
                       setting.first_seed + static_cast<std::uint64_t>(setting.sheets) - 1);
    Table table;
    table.column("score").column("diagnose", Align::right).column("ideal", Align::right);
    table.column("reached", Align::right);
    for (const Score& score : scores()) {
        const auto text = [&](const field::Trial& t) {
            const double value = score.of(t);
            return score.is_share ? percent(value) : grouped(value, 4);
        };
        table.row({{score.words, Tone::plain},
                   {text(trial.diagnosis), Tone::strong},
                   {text(trial.ideal), Tone::plain},
                   {reached_words(score, trial), Tone::plain}});
    }
    table.print(out, style);
    print_wrapped(
        out,
        fmt::format(
            "{} of faults, {} of sound scales{}. The observer knows how these sheets come "
            "about and draws specimens until it knows how probable each cause makes them: what "
            "it gets wrong, the readings do not tell. Its own draws leave it a little unsure; "
            "it may score worse by that. Reached: the share of its score.",
            trial.diagnosis.faults, sound(trial.diagnosis),
            trial.diagnosis.failed > 0 ? fmt::format(", {} without an answer", trial.diagnosis.failed) : ""),
        2);
    print_causes(out, trial, style);
}

void print_observer_json(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                         const field::ObserverTrial& trial) {
    Json document = json_document();
    document["scale"] = scale;
    document["sheets"] = setting.sheets;
    document["seed"] = setting.first_seed;
    document["failed"] = trial.diagnosis.failed;
    document["diagnosis"] = scores_json(trial.diagnosis);
    document["ideal"] = scores_json(trial.ideal);
    document["causes"] = causes_json(trial);
    print_json(out, document);
}

}  // namespace cornerbench::report
