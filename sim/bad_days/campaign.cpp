#include "sim/bad_days/campaign.h"

#include <charconv>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/field/side_by_side.h"

namespace cornerbench::bad_days {

namespace {

void add_day(const DayScale& scale, std::uint64_t seed, const DayOutcome& day, Tally& tally) {
    Tally one;
    one.days = 1;
    const std::string name = name_of(scale, seed);
    if (!day.wrong.empty()) {
        one.wrong = 1;
        one.wrong_days.push_back({name, day.wrong});
    }
    for (std::size_t i = 0; i < one.happened.size(); ++i) one.happened[i] = day.happened[i];
    const bool summed = scale.file.description.converter == scale::Converter::summed;
    for (const Excused& excused : day.excused)
        one.excused[excused.what + (summed ? " summed" : " per-cell")] = {
            .days = 1,
            .showed = excused.showed ? 1 : 0,
            .error_d = excused.error_d,
            .load_d = excused.load_d,
            .bound_d = excused.bound_d,
            .bound_from = excused.bound_from,
            .beyond = excused.showed && std::fabs(excused.error_d) > excused.bound_d ? 1 : 0,
            .day = name,
            .why = excused.why};
    one.judged = day.judged;
    one.seconds = day.seconds;
    one.longest_s = day.longest_s;
    one.longest_day = name;
    tally.add(one);
}

}  // namespace

void Tally::add(const Tally& other) {
    days += other.days;
    wrong += other.wrong;
    for (const WrongDay& day : other.wrong_days)
        if (wrong_days.size() < most_wrong_days) wrong_days.push_back(day);
    for (std::size_t i = 0; i < happened.size(); ++i) happened[i] += other.happened[i];
    for (const auto& [what, more] : other.excused) {
        ExcusedTally& sum = excused[what];
        sum.why = more.why;
        sum.days += more.days;
        sum.showed += more.showed;
        sum.beyond += more.beyond;
        if (sum.day.empty() || std::fabs(more.error_d) > std::fabs(sum.error_d)) {
            sum.error_d = more.error_d;
            sum.load_d = more.load_d;
            sum.bound_d = more.bound_d;
            sum.bound_from = more.bound_from;
            sum.day = more.day;
        }
    }
    judged += other.judged;
    seconds += other.seconds;
    if (longest_day.empty() || other.longest_s > longest_s) {
        longest_s = other.longest_s;
        longest_day = other.longest_day;
    }
}

std::vector<DayScale> with_both_boxes(const std::vector<DayScale>& scales) {
    std::vector<DayScale> both;
    for (const DayScale& scale : scales) {
        both.push_back(scale);
        if (scale.file.description.converter == scale::Converter::summed)
            both.push_back(with_channel_per_cell(scale));
    }
    return both;
}

std::string name_of(const DayScale& scale, std::uint64_t seed) {
    return fmt::format("{}:{}", scale.name, seed);
}

std::optional<NamedDay> find_day(const std::vector<DayScale>& scales, const std::string& name,
                                 std::string& error) {
    const std::size_t colon = name.rfind(':');
    NamedDay day;
    const char* end = name.data() + name.size();
    const bool named = colon != std::string::npos;
    if (named) {
        const auto [stop, problem] = std::from_chars(name.data() + colon + 1, end, day.seed);
        if (problem == std::errc() && stop == end)
            for (const DayScale& scale : scales)
                if (scale.name == name.substr(0, colon)) day.scale = &scale;
    }
    if (day.scale != nullptr) return day;
    error = "is no day; valid: SCALE:SEED with SCALE one of";
    for (const DayScale& scale : scales) error += ' ' + scale.name;
    return std::nullopt;
}

Tally spend_days(const std::vector<DayScale>& scales, const CampaignSetting& setting,
                 const field::TrialShard& shard, const std::function<void(int)>& progress) {
    Tally tally;
    const int days = static_cast<int>(setting.days);
    const int begin = shard.begin(days);
    const int end = shard.end(days);
    const auto scale_of = [&](int i) -> const DayScale& {
        return scales[static_cast<std::size_t>(i) % scales.size()];
    };
    const auto seed_of = [&](int i) { return setting.first_seed + static_cast<std::uint64_t>(i); };
    const auto spend = [&](int i) { return spend_day(scale_of(i), seed_of(i)); };
    field::side_by_side(begin, end, spend, [&](int i, DayOutcome&& day) {
        // What is drawn is in the model: a refusal is the campaign's own fault, and no day to be left out.
        if (!day.refusal.empty()) day.wrong = "refused: " + day.refusal;
        add_day(scale_of(i), seed_of(i), day, tally);
        if (progress) progress(i + 1 - begin);
    });
    return tally;
}

}  // namespace cornerbench::bad_days
