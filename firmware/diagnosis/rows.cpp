#include "firmware/diagnosis/rows.h"

#include <cmath>

#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

bool against_shield(const Reading& r) {
    return r.between_a == scale::Wire::shield || r.between_b == scale::Wire::shield;
}

namespace {

/// What a voltmeter shows with its probes together, V: about its last digit; common practice, no source.
constexpr double voltmeter_digit_V = 1.0e-3;

constexpr double square(double x) {
    return x * x;
}

/// No instrument shows more than this: a slip of the pen stays a number whose square is one.
double sane(const Reading& r, const scale::Description& d) {
    const double most = r.quantity == Quantity::weight ? 1.0e3 * d.max_kg : 1.0e6;
    if (r.quantity == Quantity::resistance) return r.value;
    return r.value > most ? most : r.value < -most ? -most : r.value;
}

/// A displayed weight is rounded: an even spread over one division.
double weight_variance(const Reading& r, const Instruments& with, double division_kg) {
    const double own = r.uncertainty > 0.0 ? r.uncertainty : with.repeatability_divisions * division_kg;
    return square(own) + square(division_kg) / 12.0;
}

Row row_of(const Reading& r, const Instruments& with, const scale::Description& d, const Scatter& scatter) {
    Row row;
    row.open_ended = r.shown != Shown::value || !(r.value - r.value == 0.0);
    row.value = row.open_ended ? 0.0 : sane(r, d);
    const double given = square(r.uncertainty);
    switch (r.quantity) {
        case Quantity::weight:
            row.kind = RowKind::weight;
            row.variance = weight_variance(r, with, d.division_at_kg(row.value));
            break;
        case Quantity::signal: {
            const double excitation_V = r.lifted_excitation_V > 0.0 ? r.lifted_excitation_V : d.excitation_V;
            const double own = r.is_ratio ? with.millivoltmeter_V / excitation_V : with.millivoltmeter_V;
            row.kind = r.connected ? RowKind::bus_signal : RowKind::lifted_signal;
            if (!r.connected || d.converter == scale::Converter::per_cell) {
                row.position = static_cast<short>(r.cell);
            }
            row.variance = r.uncertainty > 0.0 ? given : square(own);
            break;
        }
        case Quantity::resistance: {
            row.kind = RowKind::resistance;
            row.position = static_cast<short>(r.cell);
            const bool endless = !(r.value - r.value == 0.0);
            if (row.open_ended && (r.shown != Shown::at_least || endless)) {
                row.value =
                    numbers::log(against_shield(r) ? scatter.insulation_last_ohm : scatter.ohmmeter_last_ohm);
                break;
            }
            const double ohm = r.value > 1.0e-3 ? r.value : 1.0e-3;
            const double relative = against_shield(r) ? with.insulation_tester : with.ohmmeter;
            row.value = numbers::log(ohm);
            row.variance = r.uncertainty > 0.0
                               ? square(r.uncertainty / ohm)
                               : square(relative) + square(scatter.ohmmeter_contact_ohm / ohm);
            break;
        }
        case Quantity::excitation:
            row.kind = RowKind::excitation;
            row.variance =
                r.uncertainty > 0.0 ? given : square(with.voltmeter * row.value) + square(voltmeter_digit_V);
            break;
        case Quantity::channel:
            row.kind = RowKind::channel;
            row.position = static_cast<short>(r.cell);
            row.variance = r.uncertainty > 0.0 ? given : square(with.millivoltmeter_V / d.excitation_V);
            break;
        case Quantity::inspection:
            break;
    }
    return row;
}

}  // namespace

Rows rows_of(const Sheet& sheet, const scale::Description& d, const Scatter& scatter) {
    Rows rows;
    int count = 0;
    for (const bool open_ended : {false, true}) {
        int reading = 0;
        for (const Reading& r : sheet.readings) {
            if (reading == max_readings) break;
            Row row = row_of(r, sheet.instruments, d, scatter);
            row.reading = static_cast<short>(reading++);
            if (r.quantity == Quantity::inspection || row.open_ended != open_ended) continue;
            rows.row[count++] = row;
            ++(open_ended ? rows.open_ended : rows.measured);
        }
    }
    return rows;
}

}  // namespace cornerbench::diagnosis
