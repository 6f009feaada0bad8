#include "sim/files/trial_lines.h"

#include <utility>

#include "sim/field/fault_words.h"

namespace cornerbench::files {

namespace {

constexpr int most_candidates = 1000000;
constexpr double most_minutes = 1.0e6;

constexpr const char* end_names[] = {"sure", "sure-of-group", "nothing-left", "out-of-time", "no-answer"};

double probability(const TrialJson& object, const char* name) {
    const double value = member<double>(object, name);
    // Summing may leave the last digit above 1.
    if (!(value >= 0.0 && value <= 1.0 + 1.0e-9))
        throw Unfit(fmt::format("'{}' = {} is no probability", name, value));
    return value;
}

scale::Cause cause(const TrialJson& object, const char* name) {
    const auto word = member<std::string>(object, name);
    const auto found = field::find_cause(word);
    if (!found) throw Unfit(fmt::format("'{}' = \"{}\" is no cause: see 'cornerbench causes'", name, word));
    return *found;
}

TrialJson visit_json(const field::VisitOutcome& o) {
    return {{"end", end_names[static_cast<std::size_t>(o.end)]},
            {"minutes", o.minutes},
            {"checks", o.checks},
            {"right", o.right}};
}

field::VisitOutcome visit_of(const TrialJson& line, const char* name) {
    const auto found = line.find(name);
    if (found == line.end()) throw Unfit(fmt::format("'{}' is missing", name));
    field::VisitOutcome o;
    const auto word = member<std::string>(*found, "end");
    std::size_t end = 0;
    while (end < std::size(end_names) && word != end_names[end]) ++end;
    if (end == std::size(end_names)) throw Unfit(fmt::format("'end' = \"{}\" is no end of a visit", word));
    o.end = static_cast<field::VisitEnd>(end);
    o.minutes = member<double>(*found, "minutes");
    if (!(o.minutes >= 0.0 && o.minutes <= most_minutes))
        throw Unfit(fmt::format("'minutes' = {} is not within 0 to {}", o.minutes, most_minutes));
    o.checks = count(*found, "checks", 0, most_candidates);
    o.right = member<bool>(*found, "right");
    return o;
}

}  // namespace

const TrialJson& list(const TrialJson& object, const char* name) {
    const auto found = object.is_object() ? object.find(name) : object.end();
    if (!object.is_object() || found == object.end() || !found->is_array())
        throw Unfit(fmt::format("'{}' is not there as a list", name));
    return *found;
}

int count(const TrialJson& object, const char* name, int least, int most) {
    const auto value = member<std::int64_t>(object, name);
    if (value < least || value > most)
        throw Unfit(fmt::format("'{}' = {} is not within {} to {}", name, value, least, most));
    return static_cast<int>(value);
}

TrialJson line_of(const field::SheetOutcome& o) {
    TrialJson line{{"seed", o.seed}, {"truth", scale::name_of(o.truth)}};
    if (!o.answered) return line;
    line["first"] = scale::name_of(o.first);
    line["given_to_first"] = o.first_probability;
    line["rank"] = o.rank;
    line["in_top_group"] = o.in_top_group;
    line["group_size"] = o.group_size;
    line["plain"] = o.plain;
    if (o.wild) {
        line["wild_named"] = o.wild_named;
        line["right_as_read"] = o.right_as_read;
    }
    line["given"] = o.probability;
    line["brier"] = o.brier;
    line["said"] = TrialJson::array();
    for (std::size_t b = 0; b < o.said.size(); ++b) {
        const field::ReliabilityBin& bin = o.said[b];
        if (bin.statements > 0) line["said"].push_back({b, bin.statements, bin.stated, bin.true_ones});
    }
    return line;
}

TrialJson line_of(const field::VisitCase& visit) {
    return {{"seed", visit.seed},
            {"truth", scale::name_of(visit.truth)},
            {"plan", visit_json(visit.plan)},
            {"textbook", visit_json(visit.textbook)}};
}

void read_line(const TrialJson& line, field::SheetOutcome& o) {
    o = {};
    o.seed = member<std::uint64_t>(line, "seed");
    o.truth = cause(line, "truth");
    o.answered = line.contains("first");
    if (!o.answered) return;
    o.first = cause(line, "first");
    o.first_probability = probability(line, "given_to_first");
    o.rank = count(line, "rank", -1, most_candidates);
    o.in_top_group = member<bool>(line, "in_top_group");
    o.group_size = count(line, "group_size", 1, most_candidates);
    o.plain = member<bool>(line, "plain");
    o.wild = line.contains("wild_named");
    if (o.wild) {
        o.wild_named = member<bool>(line, "wild_named");
        o.right_as_read = member<bool>(line, "right_as_read");
    }
    o.probability = probability(line, "given");
    o.brier = member<double>(line, "brier");
    for (const TrialJson& bin : list(line, "said")) {
        const bool fits = bin.is_array() && bin.size() == 4 && bin[0].is_number_unsigned() &&
                          bin[1].is_number_unsigned() && bin[2].is_number() && bin[3].is_number_unsigned() &&
                          bin[0].get<std::uint64_t>() < o.said.size() &&
                          bin[1].get<std::uint64_t>() < most_candidates &&
                          bin[3].get<std::uint64_t>() <= bin[1].get<std::uint64_t>();
        if (!fits) throw Unfit(fmt::format("'said' holds {}", bin.dump()));
        o.said[bin[0].get<std::size_t>()] = {bin[1].get<int>(), bin[2].get<double>(), bin[3].get<int>()};
    }
}

void read_line(const TrialJson& line, field::VisitCase& visit) {
    visit.seed = member<std::uint64_t>(line, "seed");
    visit.truth = cause(line, "truth");
    visit.plan = visit_of(line, "plan");
    visit.textbook = visit_of(line, "textbook");
}

TrialJson line_of(const field::RankCase& ranks) {
    TrialJson line{{"seed", ranks.seed}, {"truth", scale::name_of(ranks.truth)}};
    if (!ranks.answered) return line;
    line["below"] = TrialJson::object();
    for (const field::RankedMagnitude& m : ranks.magnitudes) line["below"][m.name] = m.share;
    return line;
}

void read_line(const TrialJson& line, field::RankCase& ranks) {
    constexpr std::size_t longest_name = 40;
    ranks.seed = member<std::uint64_t>(line, "seed");
    ranks.truth = cause(line, "truth");
    const auto below = line.find("below");
    ranks.answered = below != line.end();
    if (!ranks.answered) return;
    if (!below->is_object() || below->size() > scale::max_magnitudes)
        throw Unfit(fmt::format("'below' = {} is no table of at most {} magnitudes", below->dump(),
                                scale::max_magnitudes));
    for (const auto& [name, share] : below->items()) {
        if (name.size() > longest_name || !share.is_number()) throw Unfit("'below' holds no magnitude");
        ranks.magnitudes.push_back({name, probability(*below, name.c_str())});
    }
}

TrialJson line_of(const field::ObserverCase& observed) {
    return {{"seed", observed.seed},
            {"diagnosis", line_of(observed.diagnosis)},
            {"ideal", line_of(observed.ideal)}};
}

void read_line(const TrialJson& line, field::ObserverCase& observed) {
    observed.seed = member<std::uint64_t>(line, "seed");
    for (const auto& [name, outcome] :
         {std::pair{"diagnosis", &observed.diagnosis}, std::pair{"ideal", &observed.ideal}}) {
        if (!line.contains(name)) throw Unfit(fmt::format("'{}' is missing", name));
        read_line(line[name], *outcome);
        if (outcome->seed != observed.seed) throw Unfit(fmt::format("'{}' is of another seed", name));
    }
}

}  // namespace cornerbench::files
