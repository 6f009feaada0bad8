#include "sim/report/rank_report.h"

#include <spdlog/fmt/fmt.h>

#include "sim/report/json_document.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

void print_ranks(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                 const field::RankTrial& trial, const Style& style) {
    out << style(Tone::strong, scale)
        << fmt::format(": true magnitudes on {} made-up sheets, seeds {} to {}\n\n", trial.cases,
                       setting.first_seed, setting.first_seed + static_cast<std::uint64_t>(trial.cases) - 1U);
    Table table;
    table.column("cause").column("magnitude").column("sheets", Align::right);
    table.column("mean rank", Align::right).column("chi-square", Align::right);
    table.column("probability", Align::right).column("uniform");
    int uneven = 0;
    int tested = 0;
    for (const field::RankTally& tally : trial.magnitudes) {
        const bool uniform = trial.uniform(tally);
        tested += tally.enough ? 1 : 0;
        uneven += tally.enough && !uniform ? 1 : 0;
        const Tone tone = uniform ? Tone::plain : Tone::strong;
        table.row({{scale::name_of(tally.cause), tone},
                   {tally.magnitude, tone},
                   {std::to_string(tally.shares.size()), tone},
                   {grouped(tally.mean, 3), tone},
                   {grouped(tally.chi_square, 1), tone},
                   {tally.enough ? percent(tally.probability) : "too few", tone},
                   {!tally.enough ? "-"
                    : uniform     ? "yes"
                                  : "NO",
                    tone}});
    }
    table.print(out, style);
    out << '\n';
    print_wrapped(out,
                  fmt::format("Rank: the share of the posterior below the true magnitude, cause, place and "
                              "variant known; even from 0 to 1 if the posterior is right. Chi-square over {} "
                              "bins; probability: of a larger one then. No answer: {}.",
                              field::rank_bins, trial.failed),
                  2);
    if (tested == 0) {
        print_wrapped(out,
                      fmt::format("Too few sheets for the test: it takes five to a bin, {} of each cause.",
                                  5 * field::rank_bins),
                      2);
        return;
    }
    print_wrapped(
        out,
        fmt::format("Not uniform: below {} %, which is 1 % over all {} together. {}",
                    figures(100.0 * trial.least_probability, 2), tested,
                    uneven > 0 ? fmt::format("{} of {} are not uniform.", uneven, tested)
                               : fmt::format("All {} are uniform as far as these sheets tell.", tested)),
        2);
}

void print_ranks_json(std::ostream& out, const std::string& scale, const field::TrialSetting& setting,
                      const field::RankTrial& trial) {
    Json document = json_document();
    document["scale"] = scale;
    document["sheets"] = trial.cases;
    document["seed"] = setting.first_seed;
    document["failed"] = trial.failed;
    document["least_probability"] = trial.least_probability;
    document["magnitudes"] = Json::array();
    for (const field::RankTally& tally : trial.magnitudes) {
        Json magnitude{{"cause", scale::name_of(tally.cause)},
                       {"magnitude", tally.magnitude},
                       {"sheets", tally.shares.size()},
                       {"bins", tally.bins},
                       {"mean", tally.mean},
                       {"chi_square", tally.chi_square},
                       {"degrees", field::rank_bins - 1},
                       {"probability", nullptr},
                       {"uniform", nullptr}};
        if (tally.enough) {
            magnitude["probability"] = tally.probability;
            magnitude["uniform"] = trial.uniform(tally);
        }
        document["magnitudes"].push_back(magnitude);
    }
    print_json(out, document);
}

}  // namespace cornerbench::report
