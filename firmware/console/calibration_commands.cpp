#include <array>

#include "firmware/console/arguments.h"

namespace cornerbench::console {

namespace {

using weighing::CalibrationError;

constexpr int gain_digits = 9;

/// A refusal of a calibration, with what is wrong with the points where that is the reason.
Outcome calibration_outcome(const Instrument& instrument, Refusal refusal) {
    if (refusal != Refusal::bad_fit) return outcome_of(refusal);
    return {error_for(refusal), weighing::words(instrument.calibration_error())};
}

Outcome note_point(Call& call) {
    double mass_kg = 0.0;
    if (const Outcome outcome = read_mass(call, 0, mass_kg); outcome.error != Error::none) return outcome;
    return outcome_of(call.instrument.calibration_point(mass_kg));
}

Outcome point_count(Call& call) {
    call.answer.put_integer(call.instrument.calibration_points());
    return {};
}

Outcome forget_points(Call& call) {
    call.instrument.forget_points();
    return {};
}

Outcome calibrate(Call& call) {
    return calibration_outcome(call.instrument, call.instrument.calibrate());
}

Outcome calibrate_by_rating(Call& call) {
    return calibration_outcome(call.instrument, call.instrument.calibrate_by_rating());
}

Outcome move_gravity(Call& call) {
    double from = 0.0;
    double to = 0.0;
    if (const Outcome outcome = read_number(call, 0, from); outcome.error != Error::none) return outcome;
    if (const Outcome outcome = read_number(call, 1, to); outcome.error != Error::none) return outcome;
    return outcome_of(call.instrument.move_gravity(from, to));
}

bool has_channel(const Call& call) {
    return call.suffix >= 1 && call.suffix <= call.instrument.channels();
}

Outcome set_gain(Call& call) {
    double gain = 0.0;
    if (!has_channel(call)) return {Error::header_suffix_out_of_range, {}, 1, call.instrument.channels()};
    if (const Outcome outcome = read_number(call, 0, gain); outcome.error != Error::none) return outcome;
    return outcome_of(call.instrument.set_corner_gain(call.suffix - 1, gain));
}

Outcome gain(Call& call) {
    if (!has_channel(call)) return {Error::header_suffix_out_of_range, {}, 1, call.instrument.channels()};
    call.answer.put_real(call.instrument.corner_gain(call.suffix - 1), gain_digits);
    return {};
}

/// To the last bit: zero ratio in V/V, kg by V/V, kg by V/V squared.
Outcome coefficients(Call& call) {
    const weighing::Calibration& calibration = call.instrument.calibration();
    call.answer.put_exact(calibration.zero_ratio);
    call.answer.put(',');
    call.answer.put_exact(calibration.kg_per_ratio);
    call.answer.put(',');
    call.answer.put_exact(calibration.kg_per_ratio2);
    return {};
}

Outcome count(Call& call) {
    call.answer.put_integer(call.instrument.calibration_changes());
    return {};
}

Outcome seal(Call& call) {
    call.answer.put(call.instrument.seal_open() ? "OPEN" : "CLOSED");
    return {};
}

/// Whether it is calibrated, and what was wrong with the last attempt.
Outcome state(Call& call) {
    const CalibrationError error = call.instrument.calibration_error();
    call.answer.put(call.instrument.calibrated() ? '1' : '0');
    call.answer.put(',');
    call.answer.put_integer(static_cast<int>(error));
    call.answer.put(',');
    put_string(call.answer, error == CalibrationError::none ? std::string_view{} : weighing::words(error));
    return {};
}

constexpr std::array<Command, 12> commands{{
    {"CALibration:POINt", 1, 1, false, note_point},
    {"CALibration:POINt:COUNt?", 0, 0, false, point_count},
    {"CALibration:POINt:CLEar", 0, 0, false, forget_points},
    {"CALibration:STORe", 0, 0, false, calibrate},
    {"CALibration:RATed", 0, 0, false, calibrate_by_rating},
    {"CALibration:GRAVity", 2, 2, false, move_gravity},
    {"CALibration:GAIN<n>", 1, 1, false, set_gain},
    {"CALibration:GAIN<n>?", 0, 0, false, gain},
    {"CALibration:COEFficient?", 0, 0, false, coefficients},
    {"CALibration:COUNt?", 0, 0, false, count},
    {"CALibration:SEAL?", 0, 0, false, seal},
    {"CALibration:STATe?", 0, 0, false, state},
}};

}  // namespace

std::span<const Command> calibration_commands() {
    return commands;
}

}  // namespace cornerbench::console
