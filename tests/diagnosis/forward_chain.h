#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

#include "firmware/circuit/box.h"
#include "firmware/circuit/lifted_cell.h"
#include "firmware/diagnosis/reading.h"
#include "firmware/mechanics/deck.h"
#include "firmware/scale/causes.h"
#include "firmware/weighing/still_scale.h"

/// What a specimen shows at each reading of a sheet: straight from loads to values, one reading after the
/// other, with nothing shared between readings and nothing linear. It knows nothing of the diagnosis.
namespace cornerbench::oracle {

/// Stands for wires that nothing connects.
inline constexpr double endless_ohm = 1.0e13;

/// One scale as it stands, and how it is read.
struct Specimen {
    scale::Condition condition;  ///< before any fault
    weighing::ZeroAndSpan calibration;
    double zero_kg = 0.0;         ///< added to every weight of `drifted_zeroing`
    double weights_factor = 1.0;  ///< true mass over nominal
    double excitation_factor = 1.0;
    int moved_placing = -1;  ///< this placing of a load, counted along the sheet, stands aside
    double aside_x_m = 0.0;
    double aside_y_m = 0.0;
    int drifted_zeroing = -1;  ///< counted along the sheet; -1: before any
    /// What else comes with the fault, such as a strange cell's own zero.
    std::function<void(scale::Condition&)> with_fault;
};

class ForwardChain {
  public:
    ForwardChain(const scale::Description& description, const std::vector<diagnosis::Reading>& sheet,
                 diagnosis::Zeroed zeroed)
        : description_(description), sheet_(sheet), zeroed_(zeroed) {}

    /// Values by reading; resistances as natural logarithms. Empty when the deck cannot stand.
    std::vector<double> values(const Specimen& specimen, const scale::Fault& fault) const {
        scale::Condition c = specimen.condition;
        c.excitation_V *= specimen.excitation_factor;
        scale::apply(fault, description_, c);
        if (specimen.with_fault) specimen.with_fault(c);

        const circuit::Box box(c);
        const mechanics::DeckModel deck(c);
        mechanics::DeckState rest;
        mechanics::ContactMemory memory = deck.slack_when_empty(&rest);
        if (rest.error != mechanics::DeckError::none) return {};
        mechanics::DeckState state = rest;
        const circuit::Ratios at_rest = ratios(c, deck.cell_forces(rest, rest));
        weighing::ZeroAndSpan set = specimen.calibration;
        if (zeroed_ == diagnosis::Zeroed::now) set.zero_ratio = box.output(at_rest).ratio;

        std::vector<double> out;
        const diagnosis::Load nothing;
        const diagnosis::Load* standing = &nothing;
        int placing = -1;
        int zeroing = -1;
        for (const diagnosis::Reading& r : sheet_) {
            if (r.quantity == diagnosis::Quantity::inspection) {
                out.push_back(0.0);
                continue;
            }
            if (r.quantity == diagnosis::Quantity::resistance) {
                const double ohm = lifted(c, r).resistance_ohm(r.between_a, r.between_b,
                                                               at_rest[static_cast<unsigned>(r.cell)]);
                out.push_back(std::log(std::min(ohm, endless_ohm)));
                continue;
            }
            const bool stays = same_places(*standing, r.load);
            if (!stays && !settle(specimen, c, deck, nothing, 1.0, -1, memory, state)) return {};
            if (!stays && r.load.count > 0) ++placing;
            standing = &r.load;
            if (r.direction == diagnosis::Direction::decreasing && r.load.count > 0 &&
                !settle(specimen, c, deck, r.load, r.came_down_from, placing, memory, state)) {
                return {};
            }
            if (!settle(specimen, c, deck, r.load, 1.0, placing, memory, state)) return {};
            const circuit::Ratios at = ratios(c, deck.cell_forces(state, rest));
            if (r.zero_set) {
                set.zero_ratio = box.output(at).ratio;
                ++zeroing;
            }
            const bool drifted =
                r.quantity == diagnosis::Quantity::weight && zeroing == specimen.drifted_zeroing;
            out.push_back(value(c, box, r, at, set) + (drifted ? specimen.zero_kg : 0.0));
        }
        return out;
    }

  private:
    static bool same_places(const diagnosis::Load& a, const diagnosis::Load& b) {
        if (a.count != b.count) return false;
        for (unsigned i = 0; i < static_cast<unsigned>(a.count); ++i) {
            if (a.standing[i].x_m != b.standing[i].x_m || a.standing[i].y_m != b.standing[i].y_m)
                return false;
        }
        return true;
    }

    static bool settle(const Specimen& specimen, const scale::Condition& c, const mechanics::DeckModel& deck,
                       const diagnosis::Load& load, double times, int placing,
                       mechanics::ContactMemory& memory, mechanics::DeckState& state) {
        std::vector<mechanics::PointLoad> loads;
        const bool aside = placing >= 0 && placing == specimen.moved_placing;
        for (unsigned i = 0; i < static_cast<unsigned>(load.count); ++i) {
            const diagnosis::Standing& s = load.standing[i];
            loads.push_back({s.x_m + (aside ? specimen.aside_x_m : 0.0),
                             s.y_m + (aside ? specimen.aside_y_m : 0.0),
                             times * s.mass_kg * specimen.weights_factor * c.gravity});
        }
        state = deck.settle(loads, memory);
        return state.error == mechanics::DeckError::none;
    }

    static circuit::Ratios ratios(const scale::Condition& c,
                                  const std::array<double, scale::max_cells>& force_N) {
        circuit::Ratios at{};
        for (unsigned p = 0; p < static_cast<unsigned>(c.cell_count); ++p) {
            const auto cell = static_cast<unsigned>(c.positions[p].cell);
            at[p] = circuit::bridge_ratio(c.cells[cell], force_N[cell]);
        }
        return at;
    }

    static circuit::LiftedCell lifted(const scale::Condition& c, const diagnosis::Reading& r) {
        const auto cell = static_cast<unsigned>(c.positions[static_cast<unsigned>(r.cell)].cell);
        return circuit::LiftedCell(c.cells[cell]);
    }

    double value(const scale::Condition& c, const circuit::Box& box, const diagnosis::Reading& r,
                 const circuit::Ratios& at, const weighing::ZeroAndSpan& set) const {
        using diagnosis::ExcitationPlace;
        using diagnosis::Quantity;
        const auto cell = static_cast<unsigned>(r.cell);
        switch (r.quantity) {
            case Quantity::weight:
                return (box.output(at).ratio - set.zero_ratio) * set.kg_per_ratio;
            case Quantity::channel:
                return box.output(at).channel[cell];
            case Quantity::excitation:
                return r.place == ExcitationPlace::cell  ? circuit::excitation_at_cell_V(box, c, r.cell, at)
                       : r.place == ExcitationPlace::box ? circuit::excitation_in_box_V(box, at)
                                                         : circuit::excitation_at_indicator_V(box, at);
            default:
                break;
        }
        if (r.connected) {
            const double volt = circuit::signal_in_box_V(box, r.cell, at);
            return r.is_ratio ? volt / circuit::excitation_in_box_V(box, at) : volt;
        }
        const double fed_V = r.lifted_excitation_V > 0.0 ? r.lifted_excitation_V : description_.excitation_V;
        return lifted(c, r).signal_ratio(at[cell]) * (r.is_ratio ? 1.0 : fed_V);
    }

    const scale::Description& description_;
    const std::vector<diagnosis::Reading>& sheet_;
    diagnosis::Zeroed zeroed_;
};

/// The specimen with every part as described, zero and span set on it.
inline Specimen sound_specimen(const scale::Description& d) {
    return {scale::sound_condition(d), weighing::sound_calibration(d), 0.0, 1.0, 1.0, -1, 0.0, 0.0, -1, {}};
}

}  // namespace cornerbench::oracle
