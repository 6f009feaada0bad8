#include "firmware/circuit/box_batch.h"

#include <cmath>
#include <limits>

namespace cornerbench::circuit {

namespace {

/// Solved side by side: a cell's leads come one after another, and while one lane's quotient is waited for
/// the others go on.
constexpr int lanes = 8;

bool is_sound(const scale::CellCondition& cell) {
    if (cell.leak_count > 0) return false;
    for (const double change : cell.arm_change_ohm)
        if (change != 0.0) return false;
    for (int w = 0; w < scale::wire_count; ++w)
        if (scale::index_of(cell.lands_on[w]) != w) return false;
    return true;
}

}  // namespace

bool BoxBatch::accepts(const scale::Condition& c) {
    if (c.cell_count < 1 || c.cell_count > scale::max_cells) return false;
    if (c.trim.kind == scale::TrimKind::signal_shunt && !(c.trim.mixing_ohm > 0.0)) return false;
    for (int p = 0; p < c.cell_count; ++p)
        if (!is_sound(c.cells[c.positions[p].cell])) return false;
    return true;
}

bool BoxBatch::put(int column, const scale::Condition& c) {
    if (!accepts(c)) return false;
    const bool first = count_ == 0;
    if (!first && (c.cell_count != count_ || c.converter != converter_ || c.trim.kind != trim_.kind))
        return false;
    count_ = c.cell_count;
    converter_ = c.converter;
    trim_ = c.trim;
    const Bus bus(c);
    // Until they are filled, columns repeat the first box, so that no lane divides by what is not there.
    for (int k = first ? 0 : column; k < (first ? columns : column + 1); ++k) {
        for (int p = 0; p < count_; ++p) put_cell(k, p, c);
        bus.copy_to(buses_, k);
    }
    return true;
}

void BoxBatch::put_cell(int column, int position, const scale::Condition& c) {
    const scale::BoxPosition& place = c.positions[position];
    const scale::CellCondition& cell = c.cells[place.cell];
    CellColumns& to = cells_[position];
    const double compensation = 0.5 * (cell.input_ohm - cell.output_ohm);
    to.output_ohm[column] = cell.output_ohm;
    to.delta_per_ratio[column] = cell.input_ohm / cell.output_ohm;
    to.compensation_ohm[column] = compensation > least_ohm ? compensation : least_ohm;
    to.gain[column] = place.digital_gain;

    const double conductor = cell.cable_m * cell.cable_ohm_per_m;
    double screw_siemens[scale::wire_count];
    for (int w = 0; w < scale::wire_count; ++w) {
        double ohm =
            (cell.open[w] ? std::numeric_limits<double>::infinity() : conductor) + place.contact_ohm[w];
        const auto wire = static_cast<scale::Wire>(w);
        if (wire == scale::Wire::excitation_plus && c.trim.kind == scale::TrimKind::excitation_series)
            ohm += scale::trim_variable_ohm(c.trim, place.trim_at);
        if (!shunted() && (wire == scale::Wire::signal_plus || wire == scale::Wire::signal_minus))
            ohm += c.trim.mixing_ohm;
        screw_siemens[w] = conductance(ohm);
    }
    for (int w = 0; w < scale::live_wire_count; ++w) to.lead[w][column] = screw_siemens[w] + least_siemens;

    const double leak = conductance(4.0 * cell.insulation_ohm);
    const double shield = screw_siemens[scale::index_of(scale::Wire::shield)];
    const double share = leak / (4.0 * leak + shield);
    to.between[column] = share * leak;
    to.to_shield[column] = share * shield;
    if (shunted()) {
        to.shunt[column] = conductance(c.trim.fixed_ohm + scale::trim_variable_ohm(c.trim, place.trim_at));
        to.mixing[column] = conductance(c.trim.mixing_ohm);
    }
}

template <int Lanes>
SoundCell<Lanes> BoxBatch::cell_at(int position, int first) const {
    const CellColumns& from = cells_[position];
    const auto at = [first](const Row& row) { return load<Lanes>(row.data() + first); };
    SoundCell<Lanes> cell;
    cell.output_ohm = at(from.output_ohm);
    cell.delta_per_ratio = at(from.delta_per_ratio);
    cell.compensation_ohm = at(from.compensation_ohm);
    cell.between = at(from.between);
    cell.to_shield = at(from.to_shield);
    for (int w = 0; w < scale::live_wire_count; ++w) cell.lead[w] = at(from.lead[w]);
    if (shunted()) {
        cell.shunt = at(from.shunt);
        cell.mixing = at(from.mixing);
    }
    return cell;
}

template <int Lanes, bool Shunted>
void BoxBatch::solve(std::span<const double> ratios, int first, int filled, std::span<double> ratio,
                     std::span<bool> reference_missing) const {
    double total[Lanes] = {};
    bool missing[Lanes] = {};
    const bool per_cell = converter_ == scale::Converter::per_cell;
    PortLanes<Lanes> ports;
    for (int p = 0; p < count_; ++p) {
        if (per_cell) ports = {};
        add_sound_cell<Shunted, Lanes>(cell_at<Lanes>(p, first), load<Lanes>(&ratios[p * columns + first]),
                                       ports);
        if (!per_cell && p + 1 < count_) continue;
        Lane<Lanes> signal;
        Lane<Lanes> reference;
        read_columns<Lanes>(buses_, first, ports, signal, reference);
        double signals[Lanes];
        double references[Lanes];
        store(signal, signals);
        store(reference, references);
        for (int l = 0; l < Lanes; ++l) {
            const bool gone = !(std::fabs(references[l]) > buses_.least_reference[first + l]);
            const double gain = per_cell ? cells_[p].gain[first + l] : 1.0;
            total[l] += gone ? 0.0 : gain * (signals[l] / references[l]);
            missing[l] = missing[l] || gone;
        }
    }
    for (int l = 0; l < Lanes && first + l < filled; ++l) {
        if (!ratio.empty()) ratio[first + l] = total[l];
        if (!reference_missing.empty()) reference_missing[first + l] = missing[l];
    }
}

void BoxBatch::outputs(std::span<const double> ratios, int filled, std::span<double> ratio,
                       std::span<bool> reference_missing) const {
    if (count_ == 0) return;
    for (int first = 0; first < filled; first += lanes) {
        if (shunted()) {
            solve<lanes, true>(ratios, first, filled, ratio, reference_missing);
        } else {
            solve<lanes, false>(ratios, first, filled, ratio, reference_missing);
        }
    }
}

}  // namespace cornerbench::circuit
