#include <array>

#include "firmware/console/arguments.h"

namespace cornerbench::console {

namespace {

/// Nine digits tell a converter's 24 bits apart.
constexpr int ratio_digits = 9;

void put_weight(TextWriter& writer, const weighing::Readout& readout, const weighing::ShownWeight& weight) {
    if (readout.has_weight())
        writer.put_decimal(weight.digits, weight.decimals);
    else
        writer.put("9.91E+37");
}

Outcome gross(Call& call) {
    put_weight(call.answer, call.instrument.readout(), call.instrument.readout().gross);
    return {};
}

Outcome net(Call& call) {
    put_weight(call.answer, call.instrument.readout(), call.instrument.readout().net);
    return {};
}

Outcome tare(Call& call) {
    put_weight(call.answer, call.instrument.readout(), call.instrument.readout().tare);
    return {};
}

/// Why there is no weight: number and words, and the channel it is about (from 1), 0 when it is about none.
void put_state(TextWriter& writer, const weighing::Readout& readout) {
    writer.put_integer(static_cast<int>(readout.why));
    writer.put(',');
    put_string(writer, weighing::words(readout.why));
    writer.put(',');
    writer.put_integer(readout.channel + 1);
}

Outcome state(Call& call) {
    put_state(call.answer, call.instrument.readout());
    return {};
}

std::string_view tare_word(weighing::TareKind kind) {
    switch (kind) {
        case weighing::TareKind::none:
            return "NONE";
        case weighing::TareKind::weighed:
            return "WEIGHED";
        case weighing::TareKind::preset:
            return "PRESET";
    }
    return "NONE";
}

Outcome fetch(Call& call) {
    const weighing::Readout& readout = call.instrument.readout();
    TextWriter& answer = call.answer;
    answer.put_integer(readout.number);
    for (const weighing::ShownWeight& weight : {readout.gross, readout.net, readout.tare}) {
        answer.put(',');
        put_weight(answer, readout, weight);
    }
    answer.put(',');
    answer.put(unit_word(readout.unit));
    answer.put(',');
    answer.put(tare_word(readout.tare_kind));
    const bool weight = readout.has_weight();
    for (const bool flag : {weight && readout.stable, weight && readout.at_zero, weight && readout.degraded})
        answer.put(flag ? ",1" : ",0");
    answer.put(',');
    put_state(answer, readout);
    return {};
}

/// What was printed last, over a power cut too.
Outcome printed(Call& call) {
    const storage::KeptReading& reading = call.instrument.last_reading();
    TextWriter& answer = call.answer;
    answer.put_integer(reading.ticket);
    for (const std::int64_t digits : {reading.gross, reading.net, reading.tare}) {
        answer.put(',');
        if (reading.known)
            answer.put_decimal(digits, reading.decimals);
        else
            answer.put("9.91E+37");
    }
    answer.put(',');
    answer.put(unit_word(reading.unit));
    return {};
}

Outcome range(Call& call) {
    put_mass(call, call.instrument.max_kg(), ratio_digits);
    call.answer.put(',');
    const weighing::Division shown =
        weighing::division_in(call.instrument.readout().unit, call.instrument.division_kg());
    call.answer.put_real(shown.value(), ratio_digits);
    return {};
}

Outcome channel_ratio(Call& call) {
    if (call.suffix < 1 || call.suffix > call.instrument.channels())
        return {Error::header_suffix_out_of_range, {}, 1, call.instrument.channels()};
    double ratio = 0.0;
    if (call.instrument.channel_ratio(call.suffix - 1, ratio))
        call.answer.put_real(ratio, ratio_digits);
    else
        call.answer.put("9.91E+37");
    return {};
}

Outcome channel_count(Call& call) {
    call.answer.put_integer(call.instrument.channels());
    return {};
}

constexpr std::array<Command, 9> commands{{
    {"MEASure[:WEIGht][:GROSs]?", 0, 0, false, gross},
    {"MEASure[:WEIGht]:NET?", 0, 0, false, net},
    {"MEASure[:WEIGht]:TARE?", 0, 0, false, tare},
    {"MEASure:STATe?", 0, 0, false, state},
    {"MEASure:RANGe?", 0, 0, false, range},
    {"FETCh[:ALL]?", 0, 0, false, fetch},
    {"FETCh:PRINted?", 0, 0, false, printed},
    {"CHANnel<n>:RATio?", 0, 0, false, channel_ratio},
    {"CHANnel:COUNt?", 0, 0, false, channel_count},
}};

}  // namespace

std::span<const Command> measurement_commands() {
    return commands;
}

}  // namespace cornerbench::console
