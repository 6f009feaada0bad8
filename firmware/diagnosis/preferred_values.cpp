#include "firmware/diagnosis/preferred_values.h"

#include <cmath>

#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

constexpr double log_of_ten = 2.30258509299404568402;
constexpr int most_decades = 320;

/// 100 to 988.
double three_figures(PreferredSeries series, int index) {
    const double figures =
        std::round(100.0 * numbers::exp(log_of_ten * index / static_cast<double>(static_cast<int>(series))));
    return figures == 919.0 ? 920.0 : figures;
}

}  // namespace

double preferred_value(PreferredSeries series, int index) {
    return three_figures(series, index) / 100.0;
}

double nearest_preferred_ohm(double ohm, PreferredSeries series) {
    if (!(ohm > 0.0) || !std::isfinite(ohm)) return 0.0;
    // Whole powers of ten keep their exact value, so one division or one product gives the number as sold.
    double times = 1.0;
    double over = 1.0;
    for (int d = 0; d < most_decades && ohm * over < 100.0; ++d) over *= 10.0;
    for (int d = 0; d < most_decades && ohm / times >= 1000.0; ++d) times *= 10.0;
    const double figures = ohm * over / times;
    double nearest = 1000.0;
    for (int i = 0; i < static_cast<int>(series); ++i) {
        const double value = three_figures(series, i);
        if (std::fabs(value - figures) < std::fabs(nearest - figures)) nearest = value;
    }
    return nearest * times / over;
}

}  // namespace cornerbench::diagnosis
