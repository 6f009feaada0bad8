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
    for (const Score& score : scores()) {
        const auto text = [&](const field::Trial& t) {
            const double value = score.of(t);
            return score.is_share ? percent(value) : grouped(value, 4);
        };
        table.row({{score.words, Tone::plain},
                   {text(trial.diagnosis), Tone::strong},
                   {text(trial.ideal), Tone::plain}});
    }
    table.print(out, style);
    print_wrapped(
        out,
        fmt::format(
            "{} of faults, {} of sound scales{}. The observer knows how these sheets come "
            "about and draws specimens until it knows how probable each cause makes them: what "
            "it gets wrong, the readings do not tell. Its own draws leave it a little unsure; "
            "it may score worse by that.",
            trial.diagnosis.faults, sound(trial.diagnosis),
            trial.diagnosis.failed > 0 ? fmt::format(", {} without an answer", trial.diagnosis.failed) : ""),
        2);
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
    print_json(out, document);
}

}  // namespace cornerbench::report
