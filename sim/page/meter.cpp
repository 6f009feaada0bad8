#include "sim/page/meter.h"

#include <cmath>
#include <limits>

#include "firmware/circuit/lifted_cell.h"
#include "sim/field/look_finding.h"

namespace cornerbench::page {

namespace {

using diagnosis::Reading;
using diagnosis::Shown;
using scale::Wire;

constexpr double signal_step_V = 1.0e-6;
constexpr double voltage_step_V = 1.0e-3;
constexpr double ohm_step = 0.1;
constexpr double channel_step_V_per_V = 1.0e-7;
/// Ends of the ranges of a hand-held ohmmeter and of an insulation tester.
constexpr double ohmmeter_end_ohm = 4.0e7;
constexpr double insulation_end_ohm = 2.0e10;

double to_step(double value, double step) {
    return std::round(value / step) * step;
}

/// To three significant figures, as an insulation tester shows it.
double to_figures(double value) {
    double step = 1.0;
    while (step * 1000.0 <= value) step *= 10.0;
    return to_step(value, step);
}

void read_resistance(const circuit::LiftedCell& lifted, double ratio, Reading& r) {
    const bool insulation = r.between_a == Wire::shield || r.between_b == Wire::shield;
    const double ohm = lifted.resistance_ohm(r.between_a, r.between_b, ratio);
    if (ohm > (insulation ? insulation_end_ohm : ohmmeter_end_ohm)) {
        r.shown = Shown::over_range;
        r.value = std::numeric_limits<double>::infinity();
        return;
    }
    r.value = ohm < 1.0e4 ? to_step(ohm, ohm_step) : to_figures(ohm);
}

double excitation_V(const MeterPlace& at, const Reading& r) {
    switch (r.place) {
        case diagnosis::ExcitationPlace::cell:
            return circuit::excitation_at_cell_V(at.box, at.condition, r.cell, at.ratios);
        case diagnosis::ExcitationPlace::box:
            return circuit::excitation_in_box_V(at.box, at.ratios);
        case diagnosis::ExcitationPlace::indicator:
            break;
    }
    return circuit::excitation_at_indicator_V(at.box, at.ratios);
}

bool read_channel(const MeterPlace& at, Reading& r) {
    if (!at.box.per_cell()) return false;
    const circuit::BoxOutput out = at.box.output(at.ratios);
    const double ratio = out.channel[static_cast<std::size_t>(r.cell)];
    r.is_ratio = true;
    if (out.reference_missing)
        r.shown = Shown::blank;
    else if (std::fabs(ratio) > at.description.full_scale_V_per_V)
        r.shown = ratio > 0.0 ? Shown::over_range : Shown::under_range;
    else
        r.value = to_step(ratio, channel_step_V_per_V);
    return true;
}

/// Whole numbers from 0 below `count`.
bool is_index(double number, int count) {
    return number >= 0.0 && number < count && number == std::floor(number);
}

const scale::CellCondition& landed_cell(const MeterPlace& at, std::size_t position) {
    return at.condition.cells[static_cast<std::size_t>(at.condition.positions[position].cell)];
}

std::vector<scale::Fault> present_in(const std::vector<Bench::Present>& faults) {
    std::vector<scale::Fault> there;
    for (const Bench::Present& each : faults) there.push_back(each.fault);
    return there;
}

}  // namespace

double lifted_signal_V(const MeterPlace& at, int position) {
    const auto place = static_cast<std::size_t>(position);
    const circuit::LiftedCell lifted(landed_cell(at, place));
    return lifted.signal_ratio(at.ratios[place]) * at.description.excitation_V;
}

bool take_reading(const std::array<double, max_deed_numbers>& number, const MeterPlace& at,
                  const std::vector<Bench::Present>& faults, Reading& r) {
    if (!is_index(number[1], at.description.cell_count())) return false;
    r.cell = static_cast<int>(number[1]);
    const auto position = static_cast<std::size_t>(r.cell);
    switch (r.quantity) {
        case diagnosis::Quantity::weight:
            return false;
        case diagnosis::Quantity::signal:
            r.value = to_step(lifted_signal_V(at, r.cell), signal_step_V);
            return true;
        case diagnosis::Quantity::resistance:
            if (!is_index(number[2], scale::wire_count) || !is_index(number[3], scale::wire_count))
                return false;
            r.between_a = static_cast<Wire>(static_cast<int>(number[2]));
            r.between_b = static_cast<Wire>(static_cast<int>(number[3]));
            if (r.between_a == r.between_b) return false;
            read_resistance(circuit::LiftedCell(landed_cell(at, position)), at.ratios[position], r);
            return true;
        case diagnosis::Quantity::excitation:
            if (!is_index(number[2], 3)) return false;
            r.place = static_cast<diagnosis::ExcitationPlace>(static_cast<int>(number[2]));
            r.value = to_step(excitation_V(at, r), voltage_step_V);
            return true;
        case diagnosis::Quantity::inspection:
            if (!is_index(number[2], diagnosis::look_count)) return false;
            r.look = static_cast<diagnosis::Look>(static_cast<int>(number[2]));
            r = field::plainly_seen(r, present_in(faults));
            return true;
        case diagnosis::Quantity::channel:
            return read_channel(at, r);
    }
    return false;
}

}  // namespace cornerbench::page
