#include "firmware/weighing/calibration.h"

#include <cmath>
#include <cstddef>
#include <limits>

#include "firmware/numbers/polynomial_fit.h"
#include "firmware/weighing/gravity.h"

namespace cornerbench::weighing {

namespace {

bool is_finite(double value) {
    return std::fabs(value) <= std::numeric_limits<double>::max();
}

bool is_positive(double value) {
    return value > 0.0 && is_finite(value);
}

bool usable(const CalibrationSettings& s) {
    return is_positive(s.max_kg) && is_positive(s.division_kg) && is_positive(s.full_scale_ratio) &&
           is_positive(s.least_ratio_per_division) && is_positive(s.least_span_of_max) &&
           is_positive(s.largest_residual_divisions) && is_positive(s.largest_curvature);
}

CalibrationError check_point(const CalibrationPoint& point, const CalibrationSettings& settings) {
    if (!is_finite(point.load_kg) || !is_finite(point.ratio)) return CalibrationError::not_finite;
    if (!is_positive(point.weight)) return CalibrationError::bad_weight;
    if (point.load_kg < 0.0) return CalibrationError::negative_load;
    if (std::fabs(point.ratio) > settings.full_scale_ratio) return CalibrationError::signal_over_range;
    return CalibrationError::none;
}

/// Loads that differ by less than a tenth of a division are one load put on again.
int different_loads(std::span<const CalibrationPoint> points, double division_kg) {
    int count = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
        bool is_new = true;
        for (std::size_t j = 0; j < i; ++j)
            is_new = is_new && std::fabs(points[i].load_kg - points[j].load_kg) >= 0.1 * division_kg;
        if (is_new) ++count;
    }
    return count;
}

CalibrationError check_points(std::span<const CalibrationPoint> points, const CalibrationSettings& settings) {
    const int needed = settings.curved ? 3 : 2;
    if (!usable(settings)) return CalibrationError::bad_settings;
    if (points.size() < static_cast<std::size_t>(needed)) return CalibrationError::too_few_points;
    if (points.size() > static_cast<std::size_t>(max_calibration_points))
        return CalibrationError::too_many_points;
    for (const CalibrationPoint& point : points) {
        const CalibrationError error = check_point(point, settings);
        if (error != CalibrationError::none) return error;
    }
    if (different_loads(points, settings.division_kg) < needed) return CalibrationError::equal_loads;

    CalibrationPoint lowest = points[0];
    CalibrationPoint highest = points[0];
    for (const CalibrationPoint& point : points) {
        if (point.load_kg < lowest.load_kg) lowest = point;
        if (point.load_kg > highest.load_kg) highest = point;
    }
    const double span_kg = highest.load_kg - lowest.load_kg;
    if (span_kg < settings.least_span_of_max * settings.max_kg) return CalibrationError::loads_too_close;
    const double ratio_span = highest.ratio - lowest.ratio;
    const double least_span = settings.least_ratio_per_division * span_kg / settings.division_kg;
    if (ratio_span <= -least_span) return CalibrationError::negative_slope;
    return ratio_span < least_span ? CalibrationError::signal_too_small : CalibrationError::none;
}

/// Writes load = b0 + b1 r + b2 r^2, r counted from `from_ratio`, around its zero. False where it has none.
bool around_zero(const numbers::PolynomialFit& fit, double from_ratio, Calibration& calibration) {
    const double b0 = fit.coefficient[0];
    const double b1 = fit.coefficient[1];
    const double b2 = fit.coefficient[2];
    const double square = b1 * b1 - 4.0 * b0 * b2;
    if (!(b1 > 0.0) || !(square > 0.0)) return false;
    const double slope = std::sqrt(square);
    calibration = {from_ratio - 2.0 * b0 / (b1 + slope), slope, b2};
    return true;
}

/// Bend at Max over the weight there: kg_per_ratio2 signal / kg_per_ratio.
double curvature(const Calibration& calibration, double max_kg) {
    return std::fabs(calibration.kg_per_ratio2) * max_kg /
           (calibration.kg_per_ratio * calibration.kg_per_ratio);
}

}  // namespace

std::string_view words(CalibrationError error) {
    switch (error) {
        case CalibrationError::none:
            return "done";
        case CalibrationError::bad_settings:
            return "Max, division or a limit is not set: set them first";
        case CalibrationError::too_few_points:
            return "too few points: a line takes two, a curve three";
        case CalibrationError::too_many_points:
            return "too many points: up to five";
        case CalibrationError::not_finite:
            return "a load or a signal is no number: read the point again";
        case CalibrationError::bad_weight:
            return "a point's weight is not above 0";
        case CalibrationError::negative_load:
            return "a load is below 0: enter what stands on the deck";
        case CalibrationError::signal_over_range:
            return "a signal is beyond the converter: check the wiring";
        case CalibrationError::equal_loads:
            return "too few different loads: a line takes two, a curve three";
        case CalibrationError::loads_too_close:
            return "the loads are too close together: use more weight";
        case CalibrationError::negative_slope:
            return "the signal falls under load: check the signal pair";
        case CalibrationError::signal_too_small:
            return "too little signal for the division: check excitation and weights, or take a coarser "
                   "division";
        case CalibrationError::too_curved:
            return "the points bend too far: check loads and order";
        case CalibrationError::points_disagree:
            return "a point lies far off the others: check its load";
        case CalibrationError::no_cells:
            return "no cells, or more than sixteen";
        case CalibrationError::bad_cell:
            return "a cell's capacity or rated output is not above 0";
        case CalibrationError::bad_gravity:
            return "no place on earth has this gravity: 9.73 to 9.86 m/s2";
    }
    return "";
}

CalibrationFit fit_calibration(std::span<const CalibrationPoint> points,
                               const CalibrationSettings& settings) {
    CalibrationFit result;
    result.error = check_points(points, settings);
    if (result.error != CalibrationError::none) return result;

    std::array<double, max_calibration_points> ratio{};
    std::array<double, max_calibration_points> load_kg{};
    std::array<double, max_calibration_points> weight{};
    const std::size_t n = points.size();
    for (std::size_t i = 0; i < n; ++i) {
        ratio[i] = points[i].ratio - points[0].ratio;
        load_kg[i] = points[i].load_kg;
        weight[i] = points[i].weight;
    }
    const numbers::PolynomialFit fit =
        numbers::fit_polynomial(std::span(ratio).first(n), std::span(load_kg).first(n),
                                std::span(weight).first(n), settings.curved ? 2 : 1);
    // The ends differ, so only a point between them can repeat another's signal.
    if (fit.error == numbers::FitError::too_few_points) result.error = CalibrationError::too_curved;
    if (fit.error == numbers::FitError::none && fit.coefficient[1] <= 0.0 && !settings.curved)
        result.error = CalibrationError::negative_slope;
    Calibration found;
    if (result.error == CalibrationError::none &&
        (fit.error != numbers::FitError::none || !around_zero(fit, points[0].ratio, found) ||
         curvature(found, settings.max_kg) > settings.largest_curvature)) {
        result.error = CalibrationError::too_curved;
    }
    if (result.error != CalibrationError::none) return result;

    result.residual_sd_kg = fit.residual_sd;
    result.degrees_of_freedom = fit.degrees_of_freedom;
    for (std::size_t i = 0; i < n; ++i) {
        result.residual_kg[i] = found.weight_kg(points[i].ratio) - points[i].load_kg;
        if (std::fabs(result.residual_kg[i]) > settings.largest_residual_divisions * settings.division_kg)
            result.error = CalibrationError::points_disagree;
    }
    if (result.error == CalibrationError::none) result.calibration = found;
    return result;
}

CalibrationFit rated_calibration(std::span<const RatedCell> cells, scale::Converter converter, double gravity,
                                 double zero_ratio, const CalibrationSettings& settings) {
    CalibrationFit result;
    const auto refuse = [&result](CalibrationError error) {
        result.error = error;
        return result;
    };
    if (!usable(settings)) return refuse(CalibrationError::bad_settings);
    if (cells.empty() || cells.size() > static_cast<std::size_t>(scale::max_cells))
        return refuse(CalibrationError::no_cells);
    if (!is_finite(zero_ratio)) return refuse(CalibrationError::not_finite);
    if (check_gravity(gravity) != GravityError::none) return refuse(CalibrationError::bad_gravity);
    const auto count = static_cast<double>(cells.size());
    double ratio_per_kg = 0.0;
    for (const RatedCell& cell : cells) {
        if (!is_positive(cell.capacity_kg) || !is_positive(cell.rated_output_V_per_V))
            return refuse(CalibrationError::bad_cell);
        ratio_per_kg += cell.rated_output_V_per_V / cell.capacity_kg / count;
    }
    ratio_per_kg *= gravity / scale::standard_gravity;
    if (converter == scale::Converter::summed) ratio_per_kg /= count;
    if (!(ratio_per_kg * settings.division_kg >= settings.least_ratio_per_division))
        return refuse(CalibrationError::signal_too_small);
    if (!(std::fabs(zero_ratio) + ratio_per_kg * settings.max_kg <= settings.full_scale_ratio))
        return refuse(CalibrationError::signal_over_range);
    result.calibration = {zero_ratio, 1.0 / ratio_per_kg, 0.0};
    return result;
}

bool adopt(const CalibrationFit& fit, Calibration& stored) {
    if (fit.error != CalibrationError::none) return false;
    stored = fit.calibration;
    return true;
}

}  // namespace cornerbench::weighing
