#pragma once

#include <cmath>

#include "firmware/diagnosis/nuisances.h"
#include "firmware/diagnosis/scatter.h"
#include "firmware/scale/copper.h"
#include "tests/diagnosis/forward_chain.h"
#include "tests/diagnosis/sheets.h"

/// The specimen that has one of its unknowns off by a given number of standard uncertainties: built part by
/// part, its corners really trimmed again, its zero and span really set again.
namespace cornerbench::oracle {

struct SpecimenMaker {
    static constexpr int nothing_new = -1;

    const scale::Description& d;
    const diagnosis::Scatter& scatter;
    const diagnosis::Instruments& instruments;
    diagnosis::History history;
    const scale::Fault& fault;

    bool calibrated() const { return history == diagnosis::History::calibrated; }
    bool per_cell() const { return d.converter == scale::Converter::per_cell; }
    bool trims() const {
        return per_cell() || d.trim.kind == scale::TrimKind::excitation_series ||
               (d.trim.kind == scale::TrimKind::signal_shunt && d.trim.mixing_ohm > 0.0);
    }

    Specimen nominal() const { return set_up(scale::sound_condition(d), nothing_new); }

    Specimen cell_off(int cell, diagnosis::CellUnknown of, double by) const {
        scale::Condition c = scale::sound_condition(d);
        move_cell(c.cells[static_cast<unsigned>(cell)], cell, of, by);
        return set_up(c, cell);
    }

    /// Of a strange cell, which has unknowns of its own and was never trimmed.
    Specimen strange_cell_off(int cell, diagnosis::CellUnknown of, double by) const {
        Specimen s = nominal();
        s.with_fault = [this, cell, of, by](scale::Condition& c) {
            put_strange_cell(c);
            move_cell(c.cells[static_cast<unsigned>(cell)], cell, of, by);
        };
        return s;
    }

    Specimen trim_off(int position, double by) const {
        scale::Condition c = scale::sound_condition(d);
        scale::BoxPosition& at = c.positions[static_cast<unsigned>(position)];
        if (per_cell()) {
            at.digital_gain *= 1.0 + by * scatter.trim_left_gain;
        } else if (d.trim.turns > 0.0) {
            at.trim_at += by * (calibrated() ? scatter.trim_left_turns : scatter.trim_read_turns);
        } else {
            at.trim_at += by * scatter.trim_left_ohm * d.trim.total_ohm;
        }
        return set_up(c, nothing_new);
    }

    Specimen stiffness_off(int support, double by) const {
        scale::Condition c = scale::sound_condition(d);
        c.supports[static_cast<unsigned>(support)].stiffness_N_per_m *= 1.0 + by * scatter.support_stiffness;
        return set_up(c, nothing_new);
    }

    Specimen height_off(int support, double by) const {
        scale::Condition c = scale::sound_condition(d);
        c.supports[static_cast<unsigned>(support)].height_m += by * scatter.support_height_m;
        return set_up(c, nothing_new);
    }

    Specimen common_off(diagnosis::CommonUnknown of, double by) const {
        using diagnosis::CommonUnknown;
        scale::Condition c = scale::sound_condition(d);
        Specimen s = nominal();
        switch (of) {
            case CommonUnknown::dead_load:
                c.deck.mass_kg *= 1.0 + by * scatter.dead_load;
                return set_up(c, nothing_new);
            case CommonUnknown::span:
                s.calibration.kg_per_ratio *=
                    1.0 + by * (calibrated() ? scatter.span_calibrated : scatter.span_unadjusted);
                break;
            case CommonUnknown::zero_drift:
                s.zero_kg = by * scatter.zero_divisions * d.division_kg;
                break;
            case CommonUnknown::excitation:
                s.excitation_factor = 1.0 + by * scatter.excitation;
                break;
            case CommonUnknown::copper: {
                // Warmer than when the span was set; the zero has followed.
                const double warmer = by * scale::copper_per_K * scatter.cable_temperature_K;
                for (double& ohm : s.condition.home_run_ohm) ohm *= 1.0 + warmer;
                for (scale::CellCondition& cell : s.condition.cells) {
                    cell.cable_ohm_per_m += warmer * cell.delivered_cable_ohm_per_m;
                }
                s.calibration.zero_ratio = zero_of(s.condition);
                break;
            }
            case CommonUnknown::test_weights:
                s.weights_factor = 1.0 + by * instruments.test_weights;
                break;
        }
        return s;
    }

    Specimen drifted_since(int zeroing, double by) const {
        Specimen s = common_off(diagnosis::CommonUnknown::zero_drift, by);
        s.drifted_zeroing = zeroing;
        return s;
    }

    Specimen placing_off(int placing, double x_by, double y_by) const {
        Specimen s = nominal();
        s.moved_placing = placing;
        s.aside_x_m = x_by * instruments.placing_m;
        s.aside_y_m = y_by * instruments.placing_m;
        return s;
    }

  private:
    /// The cell that came in is as described but for its output: nothing is left of the one it replaced.
    void put_strange_cell(scale::Condition& c) const {
        if (fault.cause != scale::Cause::wrong_cell) return;
        const auto at = static_cast<unsigned>(fault.site.index);
        const double ohm_per_m = c.cells[at].cable_ohm_per_m;
        c.cells[at] = scale::sound_condition(d).cells[at];
        c.cells[at].sensitivity_V_per_V *= fault.magnitude[0];
        c.cells[at].cable_ohm_per_m = ohm_per_m;
    }

    void move_cell(scale::CellCondition& cell, int number, diagnosis::CellUnknown of, double by) const {
        using diagnosis::CellUnknown;
        const scale::Cell& bought = d.cells[static_cast<unsigned>(number)];
        switch (of) {
            case CellUnknown::sensitivity:
                cell.sensitivity_V_per_V *= 1.0 + by * bought.rated_output_tolerance * scatter.of_tolerance;
                break;
            case CellUnknown::zero:
                cell.zero_V_per_V +=
                    by * bought.zero_tolerance * bought.rated_output_V_per_V * scatter.of_tolerance;
                break;
            case CellUnknown::input:
                cell.input_ohm *= 1.0 + by * bought.input_tolerance * scatter.of_tolerance;
                break;
            case CellUnknown::output:
                cell.output_ohm *= 1.0 + by * bought.output_tolerance * scatter.of_tolerance;
                break;
            case CellUnknown::cable: {
                const double longer_m = by * scatter.cable_length * bought.cable_m;
                cell.delivered_cable_m += longer_m;
                cell.cable_m += longer_m;
                break;
            }
            case CellUnknown::insulation:
                cell.insulation_ohm *= std::exp(by * scatter.insulation_ln);
                break;
        }
    }

    double zero_of(const scale::Condition& c) const {
        return weighing::StillScale(d, c).calibrate(0.5 * d.max_kg).zero_ratio;
    }

    /// Sets a specimen up as its history says. Calibrated: the corner of `strange` is trimmed until it
    /// answers to the test weight as the others do, then zero and span are set.
    Specimen set_up(scale::Condition c, int strange) const {
        if (calibrated() && trims() && strange != nothing_new) trim_again(c, strange);
        Specimen s;
        s.with_fault = [this](scale::Condition& faulty) { put_strange_cell(faulty); };
        s.condition = c;
        s.calibration = weighing::StillScale(d, c).calibrate(0.5 * d.max_kg);
        if (!calibrated()) {
            s.calibration.kg_per_ratio = weighing::sound_calibration(d).kg_per_ratio;
        }
        return s;
    }

    std::vector<double> corners(const scale::Condition& c) const {
        weighing::StillScale scale(d, c);
        const double empty = scale.read({0.0, 1.0}).ratio;
        std::vector<double> answers;
        for (int i = 0; i < c.cell_count; ++i) {
            const diagnosis::Standing at = over_support(d, i, 0.2 * d.max_kg);
            const std::array load{mechanics::PointLoad{at.x_m, at.y_m, at.mass_kg * c.gravity}};
            scale.put(load);
            answers.push_back(scale.read({0.0, 1.0}).ratio - empty);
        }
        return answers;
    }

    double& knob(scale::Condition& c, int i) const {
        scale::BoxPosition& at = c.positions[static_cast<unsigned>(i)];
        return per_cell() ? at.digital_gain : at.trim_at;
    }

    void trim_again(scale::Condition& c, int strange) const {
        const auto at = static_cast<unsigned>(strange);
        const auto too_much = [&] {
            const std::vector<double> answers = corners(c);
            double others = 0.0;
            for (const double x : answers) others += x;
            return answers[at] - (others - answers[at]) / (c.cell_count - 1);
        };
        const double step = per_cell() ? 1.0e-3 : 0.02 * scale::trim_last_position(d.trim);
        for (int round = 0; round < 8; ++round) {
            const double here = too_much();
            knob(c, strange) += step;
            const double there = too_much();
            knob(c, strange) -= step * (1.0 + here / (there - here));
        }
    }
};

}  // namespace cornerbench::oracle
