#include "sim/bad_days/campaign_file.h"

#include <algorithm>

#include <spdlog/fmt/fmt.h>

#include "sim/field/shard_order.h"

namespace cornerbench::bad_days {

namespace {

using Json = nlohmann::ordered_json;

constexpr const char* kind = "bad-days";

Json json_of(const Tally& tally) {
    Json happened = Json::object();
    for (std::size_t i = 0; i < tally.happened.size(); ++i)
        happened[std::string(kind_words[i])] = tally.happened[i];
    Json excused = Json::array();
    for (const auto& [what, one] : tally.excused)
        excused.push_back({{"what", what},
                           {"days", one.days},
                           {"showed", one.showed},
                           {"error_divisions", one.error_d},
                           {"load_divisions", one.load_d},
                           {"bound_divisions", one.bound_d},
                           {"bound", one.bound_from},
                           {"beyond", one.beyond},
                           {"day", one.day},
                           {"why", one.why}});
    Json wrong = Json::array();
    for (const WrongDay& day : tally.wrong_days) wrong.push_back({{"day", day.day}, {"what", day.what}});
    return {{"days", tally.days},       {"wrong", tally.wrong},         {"wrong_days", wrong},
            {"happened", happened},     {"unnoticeable", excused},      {"weights_judged", tally.judged},
            {"seconds", tally.seconds}, {"longest_s", tally.longest_s}, {"longest_day", tally.longest_day}};
}

Tally tally_from(const Json& json) {
    Tally tally;
    json.at("days").get_to(tally.days);
    json.at("wrong").get_to(tally.wrong);
    for (const Json& day : json.at("wrong_days"))
        tally.wrong_days.push_back({day.at("day").get<std::string>(), day.at("what").get<std::string>()});
    for (std::size_t i = 0; i < tally.happened.size(); ++i)
        json.at("happened").at(std::string(kind_words[i])).get_to(tally.happened[i]);
    for (const Json& one : json.at("unnoticeable"))
        tally.excused[one.at("what").get<std::string>()] = {
            .days = one.at("days").get<long>(),
            .showed = one.at("showed").get<long>(),
            .error_d = one.at("error_divisions").get<double>(),
            .load_d = one.at("load_divisions").get<double>(),
            .bound_d = one.at("bound_divisions").get<double>(),
            .bound_from = one.at("bound").get<std::string>(),
            .beyond = one.at("beyond").get<long>(),
            .day = one.at("day").get<std::string>(),
            .why = one.at("why").get<std::string>()};
    json.at("weights_judged").get_to(tally.judged);
    json.at("seconds").get_to(tally.seconds);
    json.at("longest_s").get_to(tally.longest_s);
    json.at("longest_day").get_to(tally.longest_day);
    return tally;
}

}  // namespace

Json json_of(const CampaignPart& part) {
    return {{"schema", 1},
            {"kind", kind},
            {"scales", part.scales},
            {"checksum", part.checksum},
            {"runs", part.setting.days},
            {"seed", part.setting.first_seed},
            {"shard", {{"number", part.shard.number}, {"parts", part.shard.parts}}},
            {"reaction_s", reaction_s},
            {"tally", json_of(part.tally)}};
}

bool is_campaign_part(std::string_view text) {
    const Json json = Json::parse(text, nullptr, false);
    return json.is_object() && json.contains("kind") && json.at("kind") == kind;
}

std::optional<CampaignPart> read_part(std::string_view text, std::string& error) {
    try {
        const Json json = Json::parse(text);
        CampaignPart part;
        if (json.at("kind") != kind) throw std::runtime_error("it is of another kind");
        json.at("scales").get_to(part.scales);
        json.at("checksum").get_to(part.checksum);
        json.at("runs").get_to(part.setting.days);
        json.at("seed").get_to(part.setting.first_seed);
        json.at("shard").at("number").get_to(part.shard.number);
        json.at("shard").at("parts").get_to(part.shard.parts);
        part.tally = tally_from(json.at("tally"));
        const bool sensible = part.shard.parts >= 1 && part.shard.number >= 1 &&
                              part.shard.number <= part.shard.parts &&
                              part.shard.parts <= part.setting.days && part.setting.days <= most_days;
        if (!sensible) throw std::runtime_error("its shard is none");
        const int days = static_cast<int>(part.setting.days);
        if (part.tally.days != part.shard.end(days) - part.shard.begin(days))
            throw std::runtime_error("days are missing");
        return part;
    } catch (const Json::parse_error& problem) {
        error = fmt::format(
            "is no JSON, or only the beginning of it, at byte {}; valid: a part that "
            "'cornerbench bad-days --outcomes' wrote",
            problem.byte);
        return std::nullopt;
    } catch (const std::exception& problem) {
        error = fmt::format("is no part that 'cornerbench bad-days --outcomes' wrote: {}", problem.what());
        return std::nullopt;
    }
}

std::optional<CampaignPart> put_together(const std::vector<CampaignPart>& parts, std::string& error) {
    const field::ShardOrder found =
        field::shard_order(parts, [](const CampaignPart& a, const CampaignPart& b) {
            return a.scales == b.scales && a.checksum == b.checksum && a.setting.days == b.setting.days &&
                   a.setting.first_seed == b.setting.first_seed;
        });
    switch (found.trouble) {
        case field::ShardOrder::Trouble::different:
            error =
                "parts of different campaigns: scales, runs, seed and the number of parts must be the same";
            return std::nullopt;
        case field::ShardOrder::Trouble::twice:
            error = fmt::format("part {} comes twice", parts[found.at].shard.number);
            return std::nullopt;
        case field::ShardOrder::Trouble::missing:
            error = field::missing_part_words(found.at, parts.front().shard.parts, "bad-days");
            return std::nullopt;
        case field::ShardOrder::Trouble::none:
            break;
    }
    CampaignPart whole = parts.front();
    whole.shard = {};
    whole.tally = {};
    for (const std::size_t i : found.order) whole.tally.add(parts[i].tally);
    return whole;
}

}  // namespace cornerbench::bad_days
