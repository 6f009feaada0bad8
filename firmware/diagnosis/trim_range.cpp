#include "firmware/diagnosis/trim_range.h"

#include <cmath>

namespace cornerbench::diagnosis {

namespace {

// A shunt of no ohms at all is a short circuit; ask no more of the network than this.
constexpr double least_shunt_ohm = 1.0e-3;

}  // namespace

double loss_at(const scale::Trim& trim, double position) {
    const double variable = scale::trim_variable_ohm(trim, position);
    if (trim.kind != scale::TrimKind::signal_shunt) return variable;
    const double ohm = trim.fixed_ohm + variable;
    return 1.0 / (ohm > least_shunt_ohm ? ohm : least_shunt_ohm);
}

double position_with_loss(const scale::Trim& trim, double loss) {
    const double variable = trim.kind == scale::TrimKind::signal_shunt ? 1.0 / loss - trim.fixed_ohm : loss;
    return trim.turns > 0.0 ? variable * trim.turns / trim.total_ohm : variable;
}

LossRange loss_range(const scale::Trim& trim) {
    const double low = loss_at(trim, 0.0);
    const double high = loss_at(trim, scale::trim_last_position(trim));
    return low < high ? LossRange{low, high} : LossRange{high, low};
}

double beyond_ohm(const scale::Trim& trim, double position) {
    const double variable = scale::trim_variable_ohm(trim, position);
    const double beyond = trim.kind == scale::TrimKind::signal_shunt ? -variable : variable - trim.total_ohm;
    return beyond > 0.0 ? beyond : 0.0;
}

double fitted_position(const scale::Trim& trim, double position, double present) {
    if (trim.turns > 0.0) return position;
    double best = present;
    const auto consider = [&](double ohm) {
        if (std::fabs(ohm - position) < std::fabs(best - position)) best = ohm;
    };
    const double sold = nearest_preferred_ohm(position, PreferredSeries::e96);
    if (sold >= least_fixed_ohm) consider(sold);
    if (trim.kind == scale::TrimKind::excitation_series) consider(0.0);
    return best;
}

}  // namespace cornerbench::diagnosis
