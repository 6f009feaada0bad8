#include <array>

#include "firmware/console/arguments.h"

namespace cornerbench::console {

namespace {

using watch::NumberKind;

constexpr int number_digits = 6;
/// More would not go into an answer beside others.
constexpr int most_told = 12;

std::string_view kind_word(NumberKind kind) {
    switch (kind) {
        case NumberKind::lateral:
            return "SIDES";
        case NumberKind::gap:
            return "GAP";
        case NumberKind::hysteresis:
            return "FRICTION";
        case NumberKind::left_end:
            return "LEFT_END";
        case NumberKind::right_end:
            return "RIGHT_END";
        case NumberKind::front_steps:
            return "FRONT_STEPS";
        case NumberKind::rear_steps:
            return "REAR_STEPS";
        case NumberKind::zero_return:
            return "ZERO_RETURN";
        case NumberKind::zero_moved:
            return "ZERO_MOVED";
    }
    return "NONE";
}

void put_count(TextWriter& answer, std::int64_t number) {
    answer.put(',');
    answer.put_integer(number);
}

/// What has moved, where, since when, by how much, against what one truck strays by.
void put_change(TextWriter& answer, const watch::TrafficWatch& traffic, int number) {
    const watch::Chart& chart = traffic.chart(number);
    answer.put(',');
    answer.put(kind_word(traffic.numbers().kind(number)));
    put_count(answer, traffic.numbers().place(number));
    put_count(answer, chart.since_truck());
    put_count(answer, chart.alarm_truck());
    for (const double value : {chart.recent() - chart.mean(), chart.deviation()}) {
        answer.put(',');
        answer.put_real(value, number_digits);
    }
}

Outcome count(Call& call) {
    const watch::TrafficWatch& traffic = call.instrument.traffic();
    call.answer.put_integer(traffic.trucks());
    put_count(call.answer, traffic.judged());
    return {};
}

Outcome check(Call& call) {
    const watch::TrafficWatch& traffic = call.instrument.traffic();
    const bool learnt = traffic.judged() >= watch::learning_numbers;
    const int changed = traffic.changed_count();
    call.answer.put(changed > 0 ? "CHANGED" : learnt ? "AS_BEFORE" : "LEARNING");
    put_count(call.answer, changed);
    int told = 0;
    for (int i = 0; i < traffic.numbers().count() && told < most_told; ++i) {
        if (!traffic.chart(i).alarmed()) continue;
        put_change(call.answer, traffic, i);
        ++told;
    }
    return {};
}

Outcome share(Call& call) {
    const int channels = call.instrument.channels();
    if (call.suffix < 1 || call.suffix > channels)
        return {Error::header_suffix_out_of_range, {}, 1, channels};
    const watch::TrafficWatch& traffic = call.instrument.traffic();
    if (traffic.judged() > 0)
        call.answer.put_real(traffic.share(call.suffix - 1), number_digits);
    else
        call.answer.put("9.91E+37");
    return {};
}

Outcome forget(Call& call) {
    call.instrument.forget_traffic();
    return {};
}

constexpr std::array<Command, 4> commands{{
    {"TRAFfic:COUNt?", 0, 0, false, count},
    {"TRAFfic:CHECk?", 0, 0, false, check},
    {"TRAFfic:SHARe<n>?", 0, 0, false, share},
    {"TRAFfic:CLEar", 0, 0, false, forget},
}};

}  // namespace

std::span<const Command> traffic_commands() {
    return commands;
}

}  // namespace cornerbench::console
