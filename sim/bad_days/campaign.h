#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/bad_days/day.h"
#include "sim/field/trial.h"

/// Many bad days, and what came of them.
namespace cornerbench::bad_days {

/// What one cause that no firmware can notice did, in boxes of one kind.
struct ExcusedTally {
    long days = 0;
    long showed = 0;       ///< days on which a wrong weight stood there as right
    double error_d = 0.0;  ///< the largest error, divisions
    double load_d = 0.0;   ///< under this load, divisions
    double bound_d = 0.0;  ///< the most that it can be on that scale under that load (`error_bound`)
    std::string bound_from{};
    long beyond = 0;  ///< days on which it was more, which shows that bound to be wrong
    std::string day;  ///< on which that was
    std::string why;
};

/// A day on which a wrong weight was shown, by its name, and what it was.
struct WrongDay {
    std::string day;
    std::string what;
};

/// Sums, so that those of parts add up to those of the whole.
struct Tally {
    long days = 0;
    long wrong = 0;
    std::vector<WrongDay> wrong_days;  ///< the first of them
    std::array<long, kind_count> happened{};
    std::map<std::string, ExcusedTally> excused;  ///< by cause and, behind a blank, `summed` or `per-cell`
    long judged = 0;
    double seconds = 0.0;
    double longest_s = 0.0;
    std::string longest_day;

    void add(const Tally& other);
};

inline constexpr std::size_t most_wrong_days = 20;

inline constexpr long most_days = 100'000'000;

/// How many days, and the seed of the first; those of the others follow.
struct CampaignSetting {
    long days = 1000;
    std::uint64_t first_seed = 1;
};

/// Every scale, and behind it the same with a channel per cell where it has none.
std::vector<DayScale> with_both_boxes(const std::vector<DayScale>& scales);

/// A day as it is called: the scale's name and the seed, "quarry-8:17".
std::string name_of(const DayScale& scale, std::uint64_t seed);

/// A day by its scale and its seed. The scale belongs to the list that it was found in.
struct NamedDay {
    const DayScale* scale = nullptr;
    std::uint64_t seed = 0;
};

/// The day of that name; none, and why in `error`, when the name means none.
std::optional<NamedDay> find_day(const std::vector<DayScale>& scales, const std::string& name,
                                 std::string& error);

/// One part of a campaign: day i has seed `first_seed` + i and goes over the scales in turn. `progress`, when
/// given, hears the number of days done.
Tally spend_days(const std::vector<DayScale>& scales, const CampaignSetting& setting,
                 const field::TrialShard& shard = {}, const std::function<void(int)>& progress = {});

}  // namespace cornerbench::bad_days
