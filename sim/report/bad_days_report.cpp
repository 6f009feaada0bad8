#include "sim/report/bad_days_report.h"

#include <algorithm>
#include <string>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/report/table.h"

namespace cornerbench::report {

namespace {

/// What no firmware could notice, each with a letter for its reason.
void print_excused(std::ostream& out, const bad_days::Tally& tally, const Style& style) {
    Table table;
    table.column("what").column("box").column("days", Align::right).column("wrong on", Align::right);
    table.column("by up to", Align::right).column("at most", Align::right).column("why");
    std::vector<std::string> reasons;
    std::vector<std::string> bounds;
    for (const auto& [what, one] : tally.excused) {
        auto reason = std::find(reasons.begin(), reasons.end(), one.why);
        if (reason == reasons.end()) reason = reasons.insert(reasons.end(), one.why);
        const std::size_t blank = what.rfind(' ');
        const bool showed = one.showed > 0;
        if (showed && std::find(bounds.begin(), bounds.end(), one.bound_from) == bounds.end())
            bounds.push_back(one.bound_from);
        const auto bound = std::find(bounds.begin(), bounds.end(), one.bound_from) - bounds.begin();
        table.row({{what.substr(0, blank)},
                   {what.substr(blank + 1)},
                   {std::to_string(one.days)},
                   {std::to_string(one.showed)},
                   {showed ? fmt::format("{:.1f} d", one.error_d) : ""},
                   {showed ? fmt::format("{:.0f} d {}", one.bound_d, bound + 1) : ""},
                   {std::string(1, static_cast<char>('a' + (reason - reasons.begin())))}});
    }
    table.print(out, style);
    for (std::size_t i = 0; i < reasons.size(); ++i)
        print_wrapped(out, fmt::format("{}: {}", static_cast<char>('a' + i), reasons[i]), 2);
    for (std::size_t i = 0; i < bounds.size(); ++i)
        print_wrapped(out, fmt::format("{}: {}", i + 1, bounds[i]), 2);
    print_wrapped(out,
                  "In divisions, d. At most: what the error can be on the scale, and under the load, of the "
                  "largest one. "
                  "--json names its day.",
                  2);
    for (const auto& [what, one] : tally.excused)
        if (one.beyond > 0)
            print_wrapped(
                out, fmt::format("{}: beyond its bound on {} days, so that one is wrong", what, one.beyond),
                2);
}

}  // namespace

void print_bad_days(std::ostream& out, const bad_days::CampaignPart& whole, const Style& style) {
    const bad_days::Tally& tally = whole.tally;
    print_wrapped(out, fmt::format("{} days from seed {}, {:.0f} hours on {} scales, {} weights judged",
                                   tally.days, whole.setting.first_seed, tally.seconds / 3600.0,
                                   whole.scales.size(), tally.judged));
    out << '\n';
    Table table;
    table.column("what went wrong").column("times", Align::right);
    for (std::size_t i = 0; i < tally.happened.size(); ++i)
        table.row({{std::string(bad_days::kind_words[i])}, {std::to_string(tally.happened[i])}});
    table.print(out, style);

    if (!tally.excused.empty()) {
        out << "\nWhat no firmware could notice, and the largest error that it showed as right\n";
        print_excused(out, tally, style);
    }
    out << '\n';
    print_wrapped(out,
                  fmt::format("A weight stood at most {:.2f} s behind its load ({}); allowed are {:g} s.",
                              tally.longest_s, tally.longest_day, bad_days::reaction_s));
    for (const bad_days::WrongDay& day : tally.wrong_days)
        print_wrapped(out, fmt::format("--case {}: {}", day.day, day.what), 2);
    out << fmt::format("{} of {} days had a wrong weight that was shown as right.\n", tally.wrong,
                       tally.days);
}

void print_bad_days_json(std::ostream& out, const bad_days::CampaignPart& whole) {
    print_json(out, bad_days::json_of(whole));
}

}  // namespace cornerbench::report
