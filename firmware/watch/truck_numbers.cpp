#include "firmware/watch/truck_numbers.h"

#include <algorithm>
#include <cmath>

#include "firmware/numbers/elementary.h"

namespace cornerbench::watch {

namespace {

/// Two apparent weights of one truck further apart than this factor's logarithm were not of the same axles.
constexpr double most_apart = 1.2;

/// A section's load has to vary by this share of its largest for a gap to show.
constexpr double enough_spread = 0.4;

/// Of what stood, a section has to have carried this share once for its own share to mean anything.
constexpr double least_carried = 0.05;

/// A line through the differences between a section's two channels over its loads.
struct Line {
    double n = 0.0;
    double x = 0.0;
    double y = 0.0;
    double xx = 0.0;
    double xy = 0.0;
    double low = 0.0;
    double high = 0.0;

    void add(double load, double difference) {
        low = n > 0.0 ? std::min(low, load) : load;
        high = n > 0.0 ? std::max(high, load) : load;
        n += 1.0;
        x += load;
        y += difference;
        xx += load * load;
        xy += load * difference;
    }
    double through_zero() const { return xx > 0.0 ? xy / xx : 0.0; }
    double intercept() const {
        const double spread = n * xx - x * x;
        return spread > 0.0 ? (y * xx - x * xy) / spread : 0.0;
    }
};

/// The same with a line for driving on and one for driving off, of one slope.
struct Levels {
    std::array<double, 3> load{};
    std::array<double, 3> difference{};

    double mean_load() const { return (load[0] + load[1] + load[2]) / 3.0; }
    double mean_difference() const { return (difference[0] + difference[1] + difference[2]) / 3.0; }
};

struct TwoLines {
    Levels on;
    Levels off;

    /// False when the loads hardly vary.
    bool apart(double largest_load, double& kg) const {
        double xx = 0.0;
        double xy = 0.0;
        for (const Levels* levels : {&on, &off})
            for (std::size_t i = 0; i < levels->load.size(); ++i) {
                const double x = levels->load[i] - levels->mean_load();
                xx += x * x;
                xy += x * (levels->difference[i] - levels->mean_difference());
            }
        if (!(xx > enough_spread * enough_spread * largest_load * largest_load)) return false;
        const double slope = xy / xx;
        kg =
            0.5 * (on.mean_difference() - off.mean_difference() - slope * (on.mean_load() - off.mean_load()));
        return true;
    }
};

struct Compared {
    double first = 0.0;
    double second = 0.0;
    bool known = false;
    double logarithm = 0.0;
};

Compared compared(double first, double second) {
    Compared c{first, second};
    if (first * second <= 0.0) return c;
    c.logarithm = numbers::log(first / second);
    c.known = std::fabs(c.logarithm) < most_apart;
    return c;
}

ChannelLevels less(const ChannelLevels& a, const ChannelLevels& b) {
    ChannelLevels kg{};
    for (std::size_t i = 0; i < kg.size(); ++i) kg[i] = a[i] - b[i];
    return kg;
}

/// Whether a truck came on at the left: its first axles press the left sections.
bool came_from_left(const NumberList& list, const Passage& p) {
    if (!list.per_cell()) return true;
    double moment = 0.0;
    for (int i = 0; i < list.channels; ++i) {
        const auto at = static_cast<std::size_t>(i);
        const double along = scale::section_of(i, list.sections) - 0.5 * (list.sections - 1);
        moment +=
            along * (p.rolling_off[at] / p.total(p.rolling_off) - p.rolled_on[at] / p.total(p.rolled_on));
    }
    return moment > 0.0;
}

void add_sections(const NumberList& list, const Passage& p, TruckNumbers& numbers) {
    // Where it stood; then driving on and driving off, in turn.
    const ChannelLevels* const levels[] = {&p.stood,      &p.rolled_on,   &p.rolling_off, &p.first_axle,
                                           &p.first_gone, &p.before_last, &p.last_axle};
    const int count = p.staircase ? 7 : 3;
    std::array<Line, scale::max_sections> line{};
    std::array<TwoLines, scale::max_sections> lines{};
    double share_sum = 0.0;
    bool all_carried = true;
    for (int s = 0; s < list.sections; ++s) {
        const auto far = static_cast<std::size_t>(scale::support_at(s, true, list.sections));
        const auto near = static_cast<std::size_t>(scale::support_at(s, false, list.sections));
        Line& own = line[static_cast<std::size_t>(s)];
        TwoLines& two = lines[static_cast<std::size_t>(s)];
        double carried_kg = 0.0;
        for (int i = 0; i < count; ++i) {
            const double load = (*levels[i])[far] + (*levels[i])[near];
            const double difference = (*levels[i])[far] - (*levels[i])[near];
            own.add(load, difference);
            carried_kg = std::max(carried_kg, std::fabs((*levels[i])[far]) + std::fabs((*levels[i])[near]));
            if (i == 0) continue;
            Levels& way = i % 2 == 1 ? two.on : two.off;
            way.load[static_cast<std::size_t>((i - 1) / 2)] = load;
            way.difference[static_cast<std::size_t>((i - 1) / 2)] = difference;
        }
        share_sum += own.through_zero();
        all_carried = all_carried && carried_kg > least_carried * std::fabs(p.total(p.stood));
    }
    for (int s = 0; s < list.sections; ++s) {
        const Line& own = line[static_cast<std::size_t>(s)];
        const double others = (share_sum - own.through_zero()) / (list.sections - 1);
        if (all_carried) numbers.set(list.find(NumberKind::lateral, s), own.through_zero() - others);
        if (own.high - own.low > enough_spread * own.high)
            numbers.set(list.find(NumberKind::gap, s), own.intercept());
        double apart_kg = 0.0;
        if (p.staircase && lines[static_cast<std::size_t>(s)].apart(own.high, apart_kg))
            numbers.set(list.find(NumberKind::hysteresis, s), apart_kg);
    }
}

void add_end(const NumberList& list, NumberKind kind, const ChannelLevels& first, const ChannelLevels& second,
             const Passage& p, TruckNumbers& numbers) {
    const Compared c = compared(p.total(first), p.total(second));
    if (!c.known) return;
    numbers.set(list.find(kind), c.logarithm);
    auto& answer =
        numbers.answer[static_cast<std::size_t>(kind) - static_cast<std::size_t>(NumberKind::left_end)];
    for (std::size_t i = 0; i < answer.size(); ++i) answer[i] = first[i] / c.first - second[i] / c.second;
}

}  // namespace

NumberKind NumberList::kind(int number) const {
    if (number < of_sections()) return static_cast<NumberKind>(number / sections);
    number -= of_sections();
    if (number < end_numbers) return static_cast<NumberKind>(static_cast<int>(NumberKind::left_end) + number);
    return number - end_numbers < channels ? NumberKind::zero_return : NumberKind::zero_moved;
}

int NumberList::index(int number) const {
    if (number < of_sections()) return number % sections;
    number -= of_sections() + end_numbers;
    return number < 0 ? 0 : number % channels;
}

int NumberList::place(int number) const {
    const NumberKind of = kind(number);
    return of >= NumberKind::left_end && of <= NumberKind::rear_steps ? 0 : index(number) + 1;
}

int NumberList::find(NumberKind wanted, int at) const {
    switch (wanted) {
        case NumberKind::lateral:
        case NumberKind::gap:
        case NumberKind::hysteresis:
            return static_cast<int>(wanted) * sections + at;
        case NumberKind::zero_return:
            return of_sections() + end_numbers + at;
        case NumberKind::zero_moved:
            return of_sections() + end_numbers + channels + at;
        default:
            return of_sections() + static_cast<int>(wanted) - static_cast<int>(NumberKind::left_end);
    }
}

TruckNumbers truck_numbers(const NumberList& list, const Passage& p) {
    TruckNumbers numbers;
    if (list.per_cell()) add_sections(list, p, numbers);
    const bool left = came_from_left(list, p);
    const ChannelLevels& at_left = left ? p.rolled_on : p.rolling_off;
    const ChannelLevels& at_right = left ? p.rolling_off : p.rolled_on;
    add_end(list, NumberKind::left_end, at_left, p.stood, p, numbers);
    add_end(list, NumberKind::right_end, at_right, p.stood, p, numbers);
    if (p.staircase) {
        const ChannelLevels front_off = less(p.rolling_off, p.first_gone);
        const ChannelLevels rear_on = less(p.rolled_on, p.before_last);
        add_end(list, NumberKind::front_steps, left ? p.first_axle : front_off,
                left ? front_off : p.first_axle, p, numbers);
        add_end(list, NumberKind::rear_steps, left ? rear_on : p.last_axle, left ? p.last_axle : rear_on, p,
                numbers);
    }
    for (int i = 0; i < list.channels; ++i)
        numbers.set(list.find(NumberKind::zero_return, i), p.returned[static_cast<std::size_t>(i)]);
    return numbers;
}

}  // namespace cornerbench::watch
