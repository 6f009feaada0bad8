#include "sim/files/trial_file.h"

#include <stdexcept>
#include <type_traits>

#include <spdlog/fmt/fmt.h>
#include <nlohmann/json.hpp>

#include "sim/field/fault_words.h"
#include "sim/files/findings.h"
#include "sim/files/toml_text.h"

namespace cornerbench::files {

namespace {

using Json = nlohmann::ordered_json;

constexpr int format = 1;
/// About two hundred thousand sheets.
constexpr std::size_t largest_part_bytes = 64 * 1024 * 1024;
constexpr std::string_view valid_file = "valid: a file that 'cornerbench trial --outcomes' wrote";

/// What a member of the document is not.
class Unfit : public std::runtime_error {
  public:
    using std::runtime_error::runtime_error;
};

template <class Value>
Value member(const Json& object, const char* name) {
    const auto found = object.is_object() ? object.find(name) : object.end();
    if (!object.is_object() || found == object.end()) throw Unfit(fmt::format("'{}' is missing", name));
    const bool fits = std::is_same_v<Value, std::string> ? found->is_string()
                      : std::is_same_v<Value, bool>      ? found->is_boolean()
                      : std::is_floating_point_v<Value>  ? found->is_number()
                                                         : found->is_number_integer();
    if (!fits) throw Unfit(fmt::format("'{}' = {} is of another kind", name, found->dump()));
    return found->template get<Value>();
}

const Json& list(const Json& object, const char* name) {
    const auto found = object.is_object() ? object.find(name) : object.end();
    if (!object.is_object() || found == object.end() || !found->is_array())
        throw Unfit(fmt::format("'{}' is not there as a list", name));
    return *found;
}

double probability(const Json& object, const char* name) {
    const double value = member<double>(object, name);
    // Summing may leave the last digit above 1.
    if (!(value >= 0.0 && value <= 1.0 + 1.0e-9))
        throw Unfit(fmt::format("'{}' = {} is no probability", name, value));
    return value;
}

int count(const Json& object, const char* name, int least, int most) {
    const auto value = member<std::int64_t>(object, name);
    if (value < least || value > most)
        throw Unfit(fmt::format("'{}' = {} is not within {} to {}", name, value, least, most));
    return static_cast<int>(value);
}

scale::Cause cause(const Json& object, const char* name) {
    const auto word = member<std::string>(object, name);
    const auto found = field::find_cause(word);
    if (!found) throw Unfit(fmt::format("'{}' = \"{}\" is no cause: see 'cornerbench causes'", name, word));
    return *found;
}

Json outcome_json(const field::SheetOutcome& o) {
    Json line{{"seed", o.seed}, {"truth", scale::name_of(o.truth)}};
    if (!o.answered) return line;
    line["first"] = scale::name_of(o.first);
    line["given_to_first"] = o.first_probability;
    line["rank"] = o.rank;
    line["in_top_group"] = o.in_top_group;
    line["given"] = o.probability;
    line["brier"] = o.brier;
    line["said"] = Json::array();
    for (std::size_t b = 0; b < o.said.size(); ++b) {
        const field::ReliabilityBin& bin = o.said[b];
        if (bin.statements > 0) line["said"].push_back({b, bin.statements, bin.stated, bin.true_ones});
    }
    return line;
}

field::SheetOutcome outcome_of(const Json& line) {
    constexpr int most_candidates = 1000000;
    field::SheetOutcome o;
    o.seed = member<std::uint64_t>(line, "seed");
    o.truth = cause(line, "truth");
    o.answered = line.contains("first");
    if (!o.answered) return o;
    o.first = cause(line, "first");
    o.first_probability = probability(line, "given_to_first");
    o.rank = count(line, "rank", -1, most_candidates);
    o.in_top_group = member<bool>(line, "in_top_group");
    o.probability = probability(line, "given");
    o.brier = member<double>(line, "brier");
    for (const Json& bin : list(line, "said")) {
        const bool fits = bin.is_array() && bin.size() == 4 && bin[0].is_number_unsigned() &&
                          bin[1].is_number_unsigned() && bin[2].is_number() && bin[3].is_number_unsigned() &&
                          bin[0].get<std::uint64_t>() < o.said.size() &&
                          bin[1].get<std::uint64_t>() < most_candidates &&
                          bin[3].get<std::uint64_t>() <= bin[1].get<std::uint64_t>();
        if (!fits) throw Unfit(fmt::format("'said' holds {}", bin.dump()));
        o.said[bin[0].get<std::size_t>()] = {bin[1].get<int>(), bin[2].get<double>(), bin[3].get<int>()};
    }
    return o;
}

TrialQuestion question_of(const Json& asked) {
    constexpr int most_sheets = 1000000000;
    TrialQuestion q;
    q.scale = member<std::string>(asked, "scale");
    q.scale_checksum = member<std::uint32_t>(asked, "scale_checksum");
    const Json& priors = list(asked, "priors");
    if (priors.size() != q.priors.size())
        throw Unfit(
            fmt::format("'priors' holds {} numbers; there are {} causes", priors.size(), q.priors.size()));
    for (std::size_t i = 0; i < priors.size(); ++i) {
        if (!priors[i].is_number()) throw Unfit(fmt::format("'priors' holds {}", priors[i].dump()));
        q.priors[i] = priors[i].get<double>();
    }
    q.sheets = count(asked, "sheets", 1, most_sheets);
    q.first_seed = member<std::uint64_t>(asked, "seed");
    q.healthy = member<bool>(asked, "healthy");
    q.readings = member<std::string>(asked, "readings");
    return q;
}

TrialPart part_of(const Json& document) {
    if (count(document, "trial_format", 0, 1000000) != format)
        throw Unfit(fmt::format("its format is not {}", format));
    TrialPart part;
    const auto question = document.find("question");
    if (question == document.end()) throw Unfit("'question' is missing");
    part.question = question_of(*question);
    part.shard.parts = count(document, "parts", 1, part.question.sheets);
    part.shard.number = count(document, "part", 1, part.shard.parts);
    const int begin = part.shard.begin(part.question.sheets);
    const int end = part.shard.end(part.question.sheets);
    const Json& lines = list(document, "outcomes");
    if (lines.size() != static_cast<std::size_t>(end - begin))
        throw Unfit(fmt::format("it holds {} sheets, part {} of {} has {}", lines.size(), part.shard.number,
                                part.shard.parts, end - begin));
    for (const Json& line : lines) {
        const auto expected = part.question.first_seed + static_cast<std::uint64_t>(begin) +
                              static_cast<std::uint64_t>(part.outcomes.size());
        part.outcomes.push_back(outcome_of(line));
        if (part.outcomes.back().seed != expected)
            throw Unfit(fmt::format("seed {} stands where {} belongs", part.outcomes.back().seed, expected));
    }
    return part;
}

}  // namespace

void write_trial_part(std::ostream& out, const TrialPart& part) {
    const TrialQuestion& q = part.question;
    const Json asked{{"scale", q.scale},      {"scale_checksum", q.scale_checksum},
                     {"priors", q.priors},    {"sheets", q.sheets},
                     {"seed", q.first_seed},  {"healthy", q.healthy},
                     {"readings", q.readings}};
    const auto text = [](const Json& json) {
        return json.dump(-1, ' ', false, Json::error_handler_t::replace);
    };
    out << "{\"trial_format\": " << format << ",\n\"question\": " << text(asked)
        << ",\n\"part\": " << part.shard.number << ", \"parts\": " << part.shard.parts
        << ",\n\"outcomes\": [";
    for (std::size_t i = 0; i < part.outcomes.size(); ++i)
        out << (i > 0 ? ",\n" : "\n") << text(outcome_json(part.outcomes[i]));
    out << "\n]}\n";
}

Loaded<TrialPart> parse_trial_part(std::string_view text, const std::string& path) {
    Findings findings(path);
    try {
        return findings.result(part_of(Json::parse(text)));
    } catch (const Json::parse_error& error) {
        findings.error(
            ErrorKind::syntax, {},
            fmt::format("is no JSON, or only the beginning of it, at byte {}; {}", error.byte, valid_file));
    } catch (const std::exception& error) {
        findings.error(ErrorKind::impossible, {}, fmt::format("{}; {}", error.what(), valid_file));
    }
    return findings.result(TrialPart{});
}

Loaded<TrialPart> load_trial_part(const std::string& path) {
    Findings findings(path);
    const auto text = read_text(path, findings, largest_part_bytes);
    return text ? parse_trial_part(*text, path) : findings.result(TrialPart{});
}

}  // namespace cornerbench::files
