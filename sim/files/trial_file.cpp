#include "sim/files/trial_file.h"

#include "sim/files/findings.h"
#include "sim/files/minutes_file.h"
#include "sim/files/toml_text.h"
#include "sim/files/trial_lines.h"

namespace cornerbench::files {

namespace {

using Json = TrialJson;

constexpr int format = 2;
constexpr const char* kind_names[] = {"ranking", "minutes", "ranks", "ideal"};
constexpr std::string_view valid_file = "valid: a file that 'cornerbench trial --outcomes' wrote";

TrialKind kind_of(const Json& asked) {
    const auto word = member<std::string>(asked, "kind");
    for (std::size_t k = 0; k < std::size(kind_names); ++k) {
        if (word == kind_names[k]) return static_cast<TrialKind>(k);
    }
    throw Unfit(fmt::format("'kind' = \"{}\" is no kind of trial", word));
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
    q.kind = kind_of(asked);
    q.wild = member<bool>(asked, "wild");
    q.world = member<std::string>(asked, "world");
    if (q.kind == TrialKind::minutes) {
        for (const MinutesKey& key : minutes_fields()) {
            const std::string name = "minutes_" + std::string(key.name);
            q.minutes.*key.minutes = member<double>(asked, name.c_str());
        }
    }
    return q;
}

template <class Outcome>
void read_lines(const Json& lines, std::uint64_t first_seed, std::vector<Outcome>& out) {
    for (const Json& line : lines) {
        const std::uint64_t expected = first_seed + out.size();
        Outcome outcome;
        read_line(line, outcome);
        if (outcome.seed != expected)
            throw Unfit(fmt::format("seed {} stands where {} belongs", outcome.seed, expected));
        out.push_back(outcome);
    }
}

std::string text_of(const Json& json) {
    return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

template <class Outcome>
void write_lines(std::ostream& out, const std::vector<Outcome>& outcomes) {
    for (std::size_t i = 0; i < outcomes.size(); ++i)
        out << (i > 0 ? ",\n" : "\n") << text_of(line_of(outcomes[i]));
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
    const std::uint64_t first = part.question.first_seed + static_cast<std::uint64_t>(begin);
    if (part.question.kind == TrialKind::minutes) {
        read_lines(lines, first, part.visits);
    } else if (part.question.kind == TrialKind::ranks) {
        read_lines(lines, first, part.ranks);
    } else if (part.question.kind == TrialKind::ideal) {
        read_lines(lines, first, part.observed);
    } else {
        read_lines(lines, first, part.outcomes);
    }
    return part;
}

}  // namespace

void write_trial_part(std::ostream& out, const TrialPart& part) {
    const TrialQuestion& q = part.question;
    Json asked{{"scale", q.scale},       {"scale_checksum", q.scale_checksum},
               {"priors", q.priors},     {"sheets", q.sheets},
               {"seed", q.first_seed},   {"healthy", q.healthy},
               {"readings", q.readings}, {"kind", kind_names[static_cast<std::size_t>(q.kind)]},
               {"wild", q.wild},         {"world", q.world}};
    if (q.kind == TrialKind::minutes) {
        for (const MinutesKey& key : minutes_fields()) {
            asked["minutes_" + std::string(key.name)] = q.minutes.*key.minutes;
        }
    }
    out << "{\"trial_format\": " << format << ",\n\"question\": " << text_of(asked)
        << ",\n\"part\": " << part.shard.number << ", \"parts\": " << part.shard.parts
        << ",\n\"outcomes\": [";
    if (q.kind == TrialKind::minutes) {
        write_lines(out, part.visits);
    } else if (q.kind == TrialKind::ranks) {
        write_lines(out, part.ranks);
    } else if (q.kind == TrialKind::ideal) {
        write_lines(out, part.observed);
    } else {
        write_lines(out, part.outcomes);
    }
    out << "\n]}\n";
}

bool looks_like_trial_part(std::string_view text) {
    return text.find("\"trial_format\"") != std::string_view::npos;
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
