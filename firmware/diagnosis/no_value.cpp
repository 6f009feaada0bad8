#include "firmware/diagnosis/no_value.h"

#include <cmath>

#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

/// How sharply a meter's last value is known, natural logarithm. Insulation testers end anywhere between one
/// and some hundred gigohms (common practice, no source).
constexpr double last_value_ln = 0.3;
constexpr double last_insulation_ln = 1.5;
/// A meter shows nothing at all without this much, in its own unit.
constexpr double least_value = 1.0e-12;

/// Probability that something not on the list, such as a dead indicator, leaves the display blank, once for
/// all weights and channels that do; that it sends the display beyond its range, likewise; and that it sends
/// a meter there, each time anew. Our own estimates; common practice, no source.
constexpr double blank_unlisted = 0.2;
constexpr double beyond_unlisted = 0.02;
constexpr double meter_unlisted = 0.005;

double log_above(double ln_value, double ln_last, double known_to_ln = last_value_ln) {
    const double p = numbers::log_normal_below((ln_value - ln_last) / known_to_ln);
    return p > log_misread ? p : log_misread;
}

}  // namespace

double log_shown(Predictor& predictor, const Row& row, const Sheet& sheet, const Scatter& scatter) {
    const Reading& r = sheet.readings[row.reading];
    switch (row.kind) {
        case RowKind::weight:
        case RowKind::channel:
            return predictor.shown(row) == r.shown ? 0.0 : log_misread;
        case RowKind::resistance:
            if (row.variance > 0.0) {
                // The meter's error and what is not known of the sound cell are one normal spread.
                return log_above(predictor.mean(row), row.value,
                                 std::sqrt(row.variance + predictor.resistance_variance(row)));
            }
            return log_above(predictor.mean(row), row.value,
                             against_shield(r) ? last_insulation_ln : last_value_ln);
        case RowKind::bus_signal:
        case RowKind::lifted_signal: {
            const double mean = predictor.mean(row);
            const bool wrong_side = r.shown == Shown::blank || (r.shown == Shown::over_range) != (mean > 0.0);
            if (wrong_side) return log_misread;
            const double volt = std::fabs(mean) * (r.is_ratio ? predictor.excitation_V(r) : 1.0);
            return log_above(numbers::log(volt > least_value ? volt : least_value),
                             numbers::log(scatter.millivoltmeter_last_V));
        }
        case RowKind::excitation:
            break;
    }
    return log_misread;
}

double log_shown_unlisted(Predictor& predictor, const Rows& rows, const Sheet& sheet,
                          const Scatter& scatter) {
    double sum = 0.0;
    bool counted[shown_count] = {};
    for (int i = rows.measured; i < rows.measured + rows.open_ended; ++i) {
        const Row& row = rows.row[i];
        const Shown shown = sheet.readings[row.reading].shown;
        const double sound = log_shown(predictor, row, sheet, scatter);
        const bool display = row.kind == RowKind::weight || row.kind == RowKind::channel;
        // A meter that stays blank is dead itself and says nothing of the scale.
        if (!display && shown == Shown::blank) {
            sum += sound;
            continue;
        }
        bool& before = counted[static_cast<int>(shown)];
        const double share = !display                ? meter_unlisted
                             : shown == Shown::blank ? blank_unlisted
                                                     : beyond_unlisted;
        const double unlisted = display && before ? 0.0 : numbers::log(share);
        before = before || display;
        sum += sound > unlisted ? sound : unlisted;
    }
    return sum;
}

}  // namespace cornerbench::diagnosis
