#pragma once

#include <array>

#include "firmware/scale/description.h"
#include "firmware/scale/wire.h"

/// A scale as it is: every number the physics needs, each cell with its own. A sound scale's condition
/// follows from its description; faults, tolerances and scatter are edits of it, never special cases in a
/// formula.
namespace cornerbench::scale {

/// A resistance that should not be there, at the cell's end of the cable.
struct Leak {
    Wire a = Wire::excitation_plus;
    Wire b = Wire::excitation_plus;
    double ohm = 0.0;
};

inline constexpr int max_leaks = 2;
inline constexpr int arm_count = 4;

/// One cell with its cable.
struct CellCondition {
    double capacity_kg = 0.0;
    double sensitivity_V_per_V = 0.0;  ///< at capacity, at the box end of the cable as delivered
    double orientation = 1.0;          ///< -1: mounted against its load arrow
    double zero_V_per_V = 0.0;
    double input_ohm = 0.0;
    double output_ohm = 0.0;
    double insulation_ohm = 0.0;
    /// Arms in the order E+ to S+, S+ to E-, E- to S-, S- to E+.
    std::array<double, arm_count> arm_change_ohm{};
    double nonlinearity = 0.0;
    double hysteresis = 0.0;
    double creep = 0.0;
    double zero_per_K = 0.0;
    double span_per_K = 0.0;
    double temperature_C = 20.0;

    double delivered_cable_m = 0.0;
    double cable_m = 0.0;
    double cable_ohm_per_m = 0.0;            ///< one conductor, at its temperature
    double delivered_cable_ohm_per_m = 0.0;  ///< the same at 20 C, at which the cell was rated

    std::array<bool, wire_count> open{};  ///< this conductor is broken
    /// Terminal on which each wire lands.
    std::array<Wire, wire_count> lands_on{Wire::excitation_plus, Wire::excitation_minus, Wire::signal_plus,
                                          Wire::signal_minus, Wire::shield};
    std::array<Leak, max_leaks> leaks{};
    int leak_count = 0;
};

/// One set of terminals in the box with its trim.
struct BoxPosition {
    int cell = 0;  ///< index of the cell whose cable lands here
    std::array<double, wire_count> contact_ohm{};
    double trim_at = 0.0;       ///< turns, or ohms of a fixed resistor
    double digital_gain = 1.0;  ///< corner gain of a per-cell box
};

/// What stands under one cell.
struct SupportCondition {
    double stiffness_N_per_m = 0.0;
    double height_m = 0.0;     ///< up positive; a settled footing or a missing shim is negative
    double bound_share = 0.0;  ///< of every change of load since it bound, carried past the cell
};

/// Something that touches the deck: a spring to ground with a Coulomb limit, slack until the deck moves.
struct Contact {
    double x_m = 0.0;
    double y_m = 0.0;
    double stiffness_N_per_m = 0.0;
    double friction_limit_N = 0.0;
};

inline constexpr int max_contacts = 4;

/// Everything the physics needs to know of one scale.
struct Condition {
    Deck deck;
    double gravity = standard_gravity;

    int cell_count = 0;
    std::array<SupportCondition, max_cells> supports{};
    std::array<Contact, max_contacts> contacts{};
    int contact_count = 0;

    std::array<CellCondition, max_cells> cells{};
    std::array<BoxPosition, max_cells> positions{};
    Trim trim;
    Converter converter = Converter::summed;

    int home_run_wires = 6;
    /// Ohms of each conductor with its joints; infinite when open.
    std::array<double, home_wire_count> home_run_ohm{};

    double excitation_V = 10.0;
    double rated_excitation_V = 10.0;  ///< what the supply ought to give: the measure of a missing reference
    double source_ohm = 0.0;
    double input_ohm = 2.0e8;
    ShieldBond shield_bond = ShieldBond::excitation_minus;
    double sense_fallback_ohm = 1.0e5;
};

/// The sound scale that `description` describes, every part at its nominal value.
Condition sound_condition(const Description& description);

}  // namespace cornerbench::scale
