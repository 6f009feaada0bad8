#include "sim/report/spread_report.h"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/report/json_document.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

namespace {

using spread::SpreadPart;
using spread::SpreadQuestion;
using spread::SpreadTally;
using spread::State;
using spread::Triple;

/// The larger the number, the fewer places: three figures or so.
std::string in_short(double value) {
    const double size = std::fabs(value);
    return grouped(value, size < 10.0 ? 2 : size < 100.0 ? 1 : 0);
}

std::string divisions(double kg, const SpreadQuestion& q) {
    return in_short(kg / q.division_kg) + " d";
}

std::string in_percent(double relative) {
    return grouped(100.0 * relative, 3) + " %";
}

/// What would be shown as 0.0 %.
constexpr double least_share = 0.0005;

/// "91 %", and a dash where there is next to nothing.
std::string share_words(double share) {
    return share < least_share ? "-" : grouped(100.0 * share, 1) + " %";
}

const char* state_words(State state) {
    return state == State::trimmed ? "corners trimmed, span and zero set, then the temperature changed"
                                   : "as delivered, trims where the scale's file has them";
}

void print_views(std::ostream& out, const SpreadQuestion& q, const SpreadTally& t, const Style& style) {
    const auto row = [&q](const char* view, const Triple& triple, double spread_kg) {
        return std::vector<Cell>{{view},
                                 {divisions(triple.corner_kg, q)},
                                 {divisions(spread_kg, q)},
                                 {in_percent(triple.span)},
                                 {divisions(triple.zero_kg, q)}};
    };
    Table table;
    table.column("seen by").column("one corner", Align::right).column("corner spread", Align::right);
    table.column("span", Align::right).column("zero", Align::right);
    table.row(row("made-up scales", t.deviation, t.most_kg));
    table.row(row("first order", q.first_order.deviation, t.straight_most_kg));
    table.row(row("worst case", q.first_order.worst, q.first_order.worst_spread_kg));
    table.print(out, style);
    print_wrapped(
        out,
        "One corner, span and zero: standard deviations. Corner spread, the largest corner less the "
        "smallest: 95 % of scales stay below. Worst case: every part at the end of its tolerance, "
        "all the wrong way, as first order has it.",
        2);
    if (t.beyond_worst > 0)
        print_wrapped(out,
                      fmt::format("{} of the made-up scales {} beyond that worst case: tolerances do not act "
                                  "in proportion here, and first order, with its shares of the variance, "
                                  "says too little. Go by the made-up scales and by what is halved.",
                                  grouped(t.beyond_worst), t.beyond_worst == 1 ? "is" : "are"),
                      2);
}

void print_limit(std::ostream& out, const SpreadQuestion& q, const SpreadTally& t) {
    print_wrapped(
        out,
        fmt::format("Half of the scales spread by less than {}. {} of them stay within {}, {}.",
                    divisions(t.median_kg, q), percent(t.within), divisions(q.limit_kg, q), q.limit_why),
        2);
    if (q.state == State::trimmed && t.out_of_reach > 0.0)
        print_wrapped(
            out,
            fmt::format("Scales whose trims end before their corners are equal within {}: {}.",
                        divisions(spread::equal_divisions * q.division_kg, q), percent(t.out_of_reach)),
            2);
    out << '\n';
}

void print_buys(std::ostream& out, const SpreadQuestion& q, const SpreadTally& t, const Style& style) {
    out << style(Tone::strong, "Which tolerance to buy") << '\n';
    Table table;
    table.column("part").column("tolerance", Align::right).column("of corners", Align::right);
    table.column("of span", Align::right).column("of zero", Align::right);
    table.column("halved", Align::right);
    std::vector<std::string> idle;
    for (const spread::Bought& buy : t.buys) {
        const spread::Triple& share = buy.part.share;
        if (std::max({share.corner_kg, share.span, share.zero_kg}) < least_share && buy.saved < 0.01) {
            idle.emplace_back(words_of(buy.part.part));
            continue;
        }
        const bool first = &buy == &t.buys.front();
        const Tone tone = first && buy.saved > 0.02 ? Tone::strong : Tone::plain;
        table.row({{std::string(words_of(buy.part.part)), tone},
                   {fmt::format("±{} {}", figures(buy.part.half_width, 4), unit_of(buy.part.part)), tone},
                   {share_words(buy.part.share.corner_kg), tone},
                   {share_words(buy.part.share.span), tone},
                   {share_words(buy.part.share.zero_kg), tone},
                   {divisions(buy.halved_spread_kg, q), tone}});
    }
    table.print(out, style);
    if (!idle.empty())
        print_wrapped(out, fmt::format("Next to nothing comes from: {}.", fmt::join(idle, ", ")), 2);
    print_wrapped(
        out,
        fmt::format("Of corners, span and zero: how much of the variance comes from that part, first "
                    "order. Halved: below which corner spread 95 % of scales stay when that tolerance "
                    "alone is half as wide, beside {} now.",
                    divisions(t.most_kg, q)),
        2);
}

Json json_of(const Triple& triple) {
    return {{"corner_kg", triple.corner_kg}, {"span", triple.span}, {"zero_kg", triple.zero_kg}};
}

}  // namespace

void print_spread(std::ostream& out, const SpreadPart& whole, const Style& style) {
    const SpreadQuestion& q = whole.question;
    const SpreadTally t = spread::tally(whole);
    out << style(Tone::strong, q.scale) << ": what tolerances do to its corners, span and zero\n";
    const std::uint64_t last = q.setting.first_seed + static_cast<std::uint64_t>(q.setting.samples) - 1U;
    print_wrapped(out,
                  fmt::format("{} made-up scales, seeds {} to {}: {}. Test load {}, d = {}.",
                              grouped(q.setting.samples), q.setting.first_seed, last, state_words(q.state),
                              q.test_load, q.division),
                  2);
    out << '\n';
    print_views(out, q, t, style);
    print_limit(out, q, t);
    print_buys(out, q, t, style);
}

void print_spread_json(std::ostream& out, const SpreadPart& whole) {
    const SpreadQuestion& q = whole.question;
    const SpreadTally t = spread::tally(whole);
    Json document = json_document();
    document["scale"] = q.scale;
    document["state"] = q.state == State::trimmed ? "trimmed" : "as delivered";
    document["samples"] = q.setting.samples;
    document["seed"] = q.setting.first_seed;
    document["test_load"] = q.test_load;
    document["division_kg"] = q.division_kg;
    document["standard"] = q.standard;
    document["limit_kg"] = q.limit_kg;
    document["within_limit"] = t.within;
    if (q.state == State::trimmed) document["trims_out_of_reach"] = t.out_of_reach;
    document["drawn"] = {{"standard_deviation", json_of(t.deviation)},
                         {"mean", {{"span", t.mean.span}, {"zero_kg", t.mean.zero_kg}}},
                         {"median_spread_kg", t.median_kg},
                         {"spread_95_kg", t.most_kg}};
    document["first_order"] = {{"standard_deviation", json_of(q.first_order.deviation)},
                               {"spread_95_kg", t.straight_most_kg}};
    document["worst_case"] = json_of(q.first_order.worst);
    document["worst_case"]["spread_kg"] = q.first_order.worst_spread_kg;
    document["beyond_worst_case"] = t.beyond_worst;
    document["parts"] = Json::array();
    for (const spread::Bought& buy : t.buys) {
        const spread::PartShare& p = buy.part;
        document["parts"].push_back(
            {{"part", words_of(p.part)},
             {"half_width", p.half_width},
             {"unit", unit_of(p.part)},
             {"share_of_variance",
              {{"corners", p.share.corner_kg}, {"span", p.share.span}, {"zero", p.share.zero_kg}}},
             {"spread_95_kg_if_halved", buy.halved_spread_kg}});
    }
    print_json(out, document);
}

}  // namespace cornerbench::report
