#include "sim/spread/spread_file.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <spdlog/fmt/fmt.h>

#include "sim/field/shard_order.h"

namespace cornerbench::spread {

namespace {

using Json = nlohmann::ordered_json;

constexpr const char* kind = "spread";
constexpr int most_samples = 1'000'000;

Json json_of(const Triple& t) {
    return Json::array({t.corner_kg, t.span, t.zero_kg});
}

Triple triple_of(const Json& json) {
    return {json.at(0).get<double>(), json.at(1).get<double>(), json.at(2).get<double>()};
}

Json json_of(const SpreadQuestion& q) {
    Json parts = Json::array();
    for (const PartShare& p : q.first_order.parts)
        parts.push_back(
            {{"part", index_of(p.part)}, {"half_width", p.half_width}, {"share", json_of(p.share)}});
    return {{"scale", q.scale},
            {"checksum", q.checksum},
            {"trimmed", q.state == State::trimmed},
            {"samples", q.setting.samples},
            {"seed", q.setting.first_seed},
            {"test_load", q.test_load},
            {"division", q.division},
            {"division_kg", q.division_kg},
            {"standard", q.standard},
            {"limit_kg", q.limit_kg},
            {"limit_why", q.limit_why},
            {"deviation", json_of(q.first_order.deviation)},
            {"worst", json_of(q.first_order.worst)},
            {"worst_spread_kg", q.first_order.worst_spread_kg},
            {"parts", parts}};
}

SpreadQuestion question_of(const Json& json) {
    SpreadQuestion q;
    json.at("scale").get_to(q.scale);
    json.at("checksum").get_to(q.checksum);
    q.state = json.at("trimmed").get<bool>() ? State::trimmed : State::as_delivered;
    json.at("samples").get_to(q.setting.samples);
    json.at("seed").get_to(q.setting.first_seed);
    json.at("test_load").get_to(q.test_load);
    json.at("division").get_to(q.division);
    json.at("division_kg").get_to(q.division_kg);
    json.at("standard").get_to(q.standard);
    json.at("limit_kg").get_to(q.limit_kg);
    json.at("limit_why").get_to(q.limit_why);
    q.first_order.deviation = triple_of(json.at("deviation"));
    q.first_order.worst = triple_of(json.at("worst"));
    json.at("worst_spread_kg").get_to(q.first_order.worst_spread_kg);
    for (const Json& p : json.at("parts")) {
        const int part = p.at("part").get<int>();
        if (part < 0 || part >= part_count) throw std::runtime_error("a part of it is none");
        q.first_order.parts.push_back(
            {static_cast<Part>(part), p.at("half_width").get<double>(), triple_of(p.at("share"))});
    }
    if (!(q.division_kg > 0.0)) throw std::runtime_error("its division is none");
    if (q.setting.samples < 1 || q.setting.samples > most_samples)
        throw std::runtime_error("its number of samples is none");
    return q;
}

/// Numbers of one sample in a row: a line is short, and a million of them are read in seconds.
Json json_of(const Sample& s) {
    Json line = Json::array(
        {s.spread_kg, s.straight_spread_kg, s.corner_square_kg2, s.span, s.zero_kg, s.set_up_spread_kg});
    for (const double kg : s.halved_spread_kg) line.push_back(kg);
    return line;
}

Sample sample_of(const Json& line, std::size_t parts) {
    constexpr std::size_t fixed = 6;
    if (line.size() != fixed + parts) throw std::runtime_error("a sample has another number of numbers");
    const auto number = [&line](std::size_t i) { return line.at(i).get<double>(); };
    Sample s{number(0), number(1), number(2), number(3), number(4), number(5), {}};
    for (std::size_t i = fixed; i < line.size(); ++i) s.halved_spread_kg.push_back(number(i));
    const auto below_nothing = [](double kg) { return !(kg >= 0.0); };
    if (std::any_of(s.halved_spread_kg.begin(), s.halved_spread_kg.end(), below_nothing) ||
        below_nothing(s.spread_kg) || below_nothing(s.straight_spread_kg) ||
        below_nothing(s.set_up_spread_kg) || below_nothing(s.corner_square_kg2))
        throw std::runtime_error("a spread in it is below 0");
    return s;
}

}  // namespace

bool SpreadQuestion::operator==(const SpreadQuestion& other) const {
    return json_of(*this) == json_of(other);
}

std::string text_of(const SpreadPart& part) {
    Json json{{"schema", 1}, {"kind", kind}, {"question", json_of(part.question)}};
    json["shard"] = {{"number", part.shard.number}, {"parts", part.shard.parts}};
    std::string text = json.dump(1);
    text.resize(text.size() - 2);
    text += ",\n \"drawn\": [";
    const char* before = "\n  ";
    for (const Sample& sample : part.samples) {
        text += before + json_of(sample).dump();
        before = ",\n  ";
    }
    return text + "\n ]\n}\n";
}

bool is_spread_part(std::string_view text) {
    const Json json = Json::parse(text, nullptr, false);
    return json.is_object() && json.contains("kind") && json.at("kind") == kind;
}

std::optional<SpreadPart> read_part(std::string_view text, std::string& error) {
    try {
        const Json json = Json::parse(text);
        if (json.at("kind") != kind) throw std::runtime_error("it is of another kind");
        SpreadPart part;
        part.question = question_of(json.at("question"));
        json.at("shard").at("number").get_to(part.shard.number);
        json.at("shard").at("parts").get_to(part.shard.parts);
        const int samples = part.question.setting.samples;
        if (part.shard.parts < 1 || part.shard.number < 1 || part.shard.number > part.shard.parts ||
            part.shard.parts > samples)
            throw std::runtime_error("its shard is none");
        for (const Json& line : json.at("drawn"))
            part.samples.push_back(sample_of(line, part.question.first_order.parts.size()));
        if (static_cast<int>(part.samples.size()) != part.shard.end(samples) - part.shard.begin(samples))
            throw std::runtime_error("samples are missing");
        return part;
    } catch (const Json::parse_error& problem) {
        error = fmt::format(
            "is no JSON, or only the beginning of it, at byte {}; valid: a part that "
            "'cornerbench spread --outcomes' wrote",
            problem.byte);
        return std::nullopt;
    } catch (const std::exception& problem) {
        error = fmt::format("is no part that 'cornerbench spread --outcomes' wrote: {}", problem.what());
        return std::nullopt;
    }
}

std::optional<SpreadPart> put_together(const std::vector<SpreadPart>& parts, std::string& error) {
    const field::ShardOrder found = field::shard_order(
        parts, [](const SpreadPart& a, const SpreadPart& b) { return a.question == b.question; });
    switch (found.trouble) {
        case field::ShardOrder::Trouble::different:
            error =
                "parts of different spreads: scale, tolerances, samples, seed, limits and the number of "
                "parts "
                "must be the same";
            return std::nullopt;
        case field::ShardOrder::Trouble::twice:
            error = fmt::format("part {} comes twice", parts[found.at].shard.number);
            return std::nullopt;
        case field::ShardOrder::Trouble::missing:
            error = field::missing_part_words(found.at, parts.front().shard.parts, "spread");
            return std::nullopt;
        case field::ShardOrder::Trouble::none:
            break;
    }
    SpreadPart whole{parts.front().question, {}, {}};
    for (const std::size_t i : found.order)
        whole.samples.insert(whole.samples.end(), parts[i].samples.begin(), parts[i].samples.end());
    return whole;
}

}  // namespace cornerbench::spread
