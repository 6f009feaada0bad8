#include "sim/report/outcome_words.h"

#include <algorithm>

#include <spdlog/fmt/fmt.h>

#include "firmware/scale/exchanged_wires.h"
#include "sim/report/finding_words.h"
#include "sim/report/number_words.h"

namespace cornerbench::report {

namespace {

constexpr std::size_t most_names = 3;

/// Half of the inner 90 % of a normal distribution, in standard deviations.
constexpr double inner_90 = 1.6448536269514722;

struct Range {
    double low = 0.0;
    double high = 0.0;
    double middle() const { return 0.5 * (low + high); }
    bool holds(double value) const { return low <= value && value <= high; }
};

struct Outcome {
    Range range;
    scale::ExchangedWires wires;  ///< that a look at colours would name
    double probability = 0.0;
    std::vector<std::string> names;
};

Range range_of(const field::NextCheck& check, std::size_t k) {
    const double expected = check.expected[k];
    if (check.deviation.empty()) return expected > 0.5 ? Range{1.0, 1.0} : Range{0.0, 0.0};
    const double half = inner_90 * check.deviation[k];
    return {expected - half, expected + half};
}

/// What a look at the wire colours would name with this cause.
scale::ExchangedWires wires_named(const diagnosis::Reading& look, const diagnosis::Candidate& c) {
    if (look.quantity != diagnosis::Quantity::inspection || look.look != diagnosis::Look::wire_colours)
        return {};
    for (const scale::Fault& fault : {c.fault, c.also})
        if (scale::exchanged_by(fault).any && fault.site.index == look.cell)
            return scale::exchanged_by(fault);
    return {};
}

std::string range_words(const diagnosis::Reading& reading, const Outcome& outcome, const MassWords& mass) {
    const Range& range = outcome.range;
    if (outcome.wires.any)
        return fmt::format("{} and {} exchanged", scale::name_of(outcome.wires.a),
                           scale::name_of(outcome.wires.b));
    if (reading.quantity == diagnosis::Quantity::inspection)
        return range.high > 0.5 ? "not as it should be" : "as it should be";
    // A wide size of a fault spreads evenly both ways, past what a supply can give.
    const bool volts = reading.quantity == diagnosis::Quantity::excitation;
    const std::string low = value_words(reading, volts ? std::max(range.low, 0.0) : range.low, mass);
    const std::string high = value_words(reading, range.high, mass);
    return low == high ? low : low + " to " + high;
}

}  // namespace

std::vector<std::string> outcome_words(const field::NextCheck& check,
                                       std::span<const diagnosis::Candidate> about,
                                       const scale::Description& description, std::size_t most) {
    std::vector<Outcome> outcomes;
    for (std::size_t k = 0; k < about.size() && k < check.expected.size(); ++k) {
        const Range range = range_of(check, k);
        const scale::ExchangedWires wires = wires_named(check.reading, about[k]);
        const std::string name = cause_words(about[k]);
        auto found = std::find_if(outcomes.begin(), outcomes.end(), [&](const Outcome& o) {
            return o.wires == wires && o.range.holds(range.middle()) && range.holds(o.range.middle());
        });
        if (found == outcomes.end()) found = outcomes.insert(outcomes.end(), Outcome{range, wires, 0.0, {}});
        found->range = {std::min(found->range.low, range.low), std::max(found->range.high, range.high)};
        found->probability += about[k].probability;
        if (std::find(found->names.begin(), found->names.end(), name) == found->names.end())
            found->names.push_back(name);
    }
    std::stable_sort(outcomes.begin(), outcomes.end(),
                     [](const Outcome& a, const Outcome& b) { return a.probability > b.probability; });
    const MassWords mass(description);
    std::vector<std::string> lines;
    for (const Outcome& outcome : outcomes) {
        if (lines.size() == most) break;
        std::string line = range_words(check.reading, outcome, mass) + ": ";
        const std::size_t named = std::min(outcome.names.size(), most_names);
        for (std::size_t i = 0; i < named; ++i) line += (i > 0 ? "; " : "") + outcome.names[i];
        if (outcome.names.size() > named) line += fmt::format("; {} more", outcome.names.size() - named);
        lines.push_back(line);
    }
    return lines;
}

}  // namespace cornerbench::report
