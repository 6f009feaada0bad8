#include "firmware/diagnosis/corner_scale.h"

#include <algorithm>
#include <cmath>

#include "firmware/numbers/elementary.h"
#include "firmware/scale/copper.h"

namespace cornerbench::diagnosis {

namespace {

constexpr double square(double x) {
    return x * x;
}

/// OIML R 76-1:2006, as remembered: zero returns within half a division of where it was.
constexpr double zero_return_divisions = 0.5;

/// One corner on the box's bus, its trim where the description has it.
///
/// On a summed bus a corner counts with its signal over its source resistance. In front of the mixing
/// resistors a shunt R across a source of q ohms divides both, so that with 2 mixing resistors m the gain
/// goes as 1 / (q + 2 m + 2 m q / R): without mixing resistors the shunt cancels out.
class Corner {
  public:
    Corner(const scale::Description& d, const scale::Cell& cell, const Scatter& scatter)
        : d_(d), cell_(cell), scatter_(scatter) {
        cable_ohm_ = 2.0 * cell.cable_m * scale::copper_ohm_per_m(d.cable_area_mm2, d.cable_temperature_C);
        source_ohm_ = cell.output_ohm + cable_ohm_ + 2.0 * d.contact_ohm;
        mixing_ohm_ = 2.0 * d.trim.mixing_ohm;
        if (d.trim.kind == scale::TrimKind::excitation_series) {
            series_ohm_ = scale::trim_variable_ohm(d.trim, cell.trim_at);
        }
    }

    bool trims() const {
        return d_.trim.kind == scale::TrimKind::excitation_series ||
               (d_.trim.kind == scale::TrimKind::signal_shunt && mixing_ohm_ > 0.0);
    }

    /// Of a corner as bought, by the cell's tolerances. A trim in the excitation lead lets the input
    /// resistance count; the cable does not, being part of the rating.
    double from_tolerances() const {
        const double output = output_weight();
        const double input = series_ohm_ / (cell_.input_ohm + cable_ohm_ + series_ohm_);
        const bool bus = d_.converter == scale::Converter::summed;
        return scatter_.of_tolerance * std::sqrt(square(cell_.rated_output_tolerance) +
                                                 square(bus ? output * cell_.output_tolerance : 0.0) +
                                                 square(bus ? input * cell_.input_tolerance : 0.0));
    }

    /// Of a corner whose trim was left off its best position by `left`, in trim positions.
    double from_trim(double left) const {
        const double left_ohm = left * (d_.trim.turns > 0.0 ? d_.trim.total_ohm / d_.trim.turns : 1.0);
        if (!shunted()) return left_ohm / (cell_.input_ohm + cable_ohm_ + series_ohm_);

        // The less a shunt has, the more an ohm does. Trimming has moved each shunt by as much as its cell
        // strayed, and where the weakest cell's shunt would have ended beyond its last ohm, all of them
        // further: the strongest cell's stands for all.
        const double span_ohm = mixing_ohm_ * source_ohm_ / (source_ohm_ + mixing_ohm_);
        const double last_ohm = d_.trim.fixed_ohm + d_.trim.total_ohm;
        const double strayed = cell_.rated_output_tolerance + output_weight() * cell_.output_tolerance;
        const double drain = std::max(span_ohm / shunt_ohm(), span_ohm / last_ohm + strayed) + strayed;
        const double ohm = std::clamp(span_ohm / drain, d_.trim.fixed_ohm, last_ohm);
        // Its effect is not a straight line: by two standard uncertainties down, or up where it ends.
        const double less_ohm = std::max(ohm - 2.0 * left_ohm, d_.trim.fixed_ohm);
        const double more_ohm = ohm + 2.0 * left_ohm;
        if (!(less_ohm > 0.0)) return 1.0;
        return 0.5 * std::max(span_ohm / less_ohm - span_ohm / ohm, span_ohm / ohm - span_ohm / more_ohm);
    }

  private:
    bool shunted() const { return d_.trim.kind == scale::TrimKind::signal_shunt; }
    double shunt_ohm() const { return d_.trim.fixed_ohm + scale::trim_variable_ohm(d_.trim, cell_.trim_at); }

    /// How much of a relative change of the output resistance shows.
    double output_weight() const {
        const double drained = shunted() ? mixing_ohm_ / shunt_ohm() : 0.0;
        return cell_.output_ohm * (1.0 + drained) / (source_ohm_ * (1.0 + drained) + mixing_ohm_);
    }

    const scale::Description& d_;
    const scale::Cell& cell_;
    const Scatter& scatter_;
    double cable_ohm_ = 0.0;
    double source_ohm_ = 0.0;
    double mixing_ohm_ = 0.0;
    double series_ohm_ = 0.0;
};

double corner_gain(const scale::Description& d, const scale::Cell& cell, History history, const Scatter& s) {
    const Corner corner(d, cell, s);
    const bool per_cell = d.converter == scale::Converter::per_cell;
    if (history == History::unadjusted || !(per_cell || corner.trims())) return corner.from_tolerances();
    if (per_cell) return s.trim_left_gain;
    return corner.from_trim(d.trim.turns > 0.0 ? s.trim_left_turns : s.trim_left_ohm * d.trim.total_ohm);
}

/// What the cables' warmth does to all corners of a scale whose span was computed and not set: relative.
double by_warmth(const scale::Description& d, const Scatter& s) {
    double most = 0.0;
    for (int i = 0; i < d.cell_count(); ++i) {
        const double ohm =
            2.0 * d.cells[i].cable_m * scale::copper_ohm_per_m(d.cable_area_mm2, d.cable_temperature_C);
        most = std::max(most, ohm / d.cells[i].input_ohm);
    }
    return scale::copper_per_K * s.cable_temperature_K * most;
}

}  // namespace

CornerScale corner_scale(const scale::Description& d, const Instruments& with, History history,
                         const Scatter& s) {
    CornerScale c;
    c.deck = d.deck;
    c.gravity = d.gravity;
    c.support_stiffness_N_per_m = d.support_stiffness_N_per_m;
    c.resolution_kg = d.division_kg;
    c.repeatability_kg = with.repeatability_divisions * d.division_kg;
    c.placing_m = with.placing_m;
    c.support_stiffness = s.support_stiffness;
    c.structure_stiffness = usual_structure_stiffness;
    c.support_height_m = s.support_height_m;
    const bool calibrated = history == History::calibrated;
    c.span = calibrated ? s.span_calibrated : std::sqrt(square(s.span_unadjusted) + square(by_warmth(d, s)));
    c.span = std::sqrt(square(c.span) + square(with.test_weights));
    c.zero_kg = s.zero_divisions * d.division_kg;
    c.zero_return_kg = s.of_tolerance * zero_return_divisions * d.division_kg;
    for (int i = 0; i < d.cell_count(); ++i) {
        const scale::Cell& cell = d.cells[i];
        c.gain[i] = corner_gain(d, cell, history, s);
        c.hysteresis_kg =
            std::max(c.hysteresis_kg, s.of_tolerance * std::fabs(cell.hysteresis) * cell.capacity_kg);
        c.channel_gain = std::max(c.channel_gain, s.of_tolerance * cell.rated_output_tolerance);
        const double kg_per_ratio =
            cell.capacity_kg / cell.rated_output_V_per_V * scale::standard_gravity / d.gravity;
        c.channel_kg = std::max(c.channel_kg, usual_channel_V_per_V * kg_per_ratio);
    }
    return c;
}

}  // namespace cornerbench::diagnosis
