#pragma once

#include <array>
#include <string>
#include <vector>

#include "sim/files/scale_file.h"

namespace cornerbench::commissioning {

/// What a meter should show, and the bounds within which a sound scale does.
struct Expected {
    double value = 0.0;
    double low = 0.0;
    double high = 0.0;
};

inline constexpr int live_pairs = 6;  ///< of the four wires E+, E-, S+, S-

/// A pair of lifted wires.
struct WirePair {
    scale::Wire a = scale::Wire::excitation_plus;
    scale::Wire b = scale::Wire::excitation_minus;
    Expected ohm;
};

/// One cell at its place in the box.
struct WiredCell {
    int cell = 0;  ///< and position in the box, from 0
    double cable_m = 0.0;
    std::array<WirePair, live_pairs> pairs{};
    double insulation_ohm = 0.0;        ///< S+ to the shield, lifted, as described
    double least_insulation_ohm = 0.0;  ///< what a sound cell shows at least there, in 39 of 40
    double dead_load_kg = 0.0;          ///< on its support, at standard gravity
    Expected signal_V;                  ///< lifted, on the indicator's nominal excitation, deck empty
};

/// A cable of another length than most, and what that does to its corner: shown less put on.
struct UnequalCable {
    int cell = 0;  ///< from 0
    double length_m = 0.0;
    double changed_error_kg = 0.0;  ///< if it was delivered as long as most, then cut or lengthened
    /// If it was delivered so: when all cables warm by 10 K, beside a corner with the usual length.
    double warm_error_kg = 0.0;
};

/// What a cable that is cut or lengthened does to its corner.
struct CableCost {
    double test_kg = 0.0;         ///< load over the corner
    double error_kg_per_m = 0.0;  ///< for each metre cut off a cable
    double usual_m = 0.0;         ///< length that most cables have
    std::vector<UnequalCable> unequal{};
};

/// What a meter must show while the box is wired, before the deck is closed.
struct Wiring {
    std::vector<WiredCell> cells;
    double bus_ohm = 0.0;   ///< E+ to E- of the box with every cell landed, home run off
    Expected bus_signal_V;  ///< S+ to S- there, everything connected, deck empty
    CableCost cable;
    /// Of a summed box, everything connected; 0 else.
    double excitation_in_box_V = 0.0;
    double excitation_at_indicator_V = 0.0;
};

/// Computed for a sound scale as its file describes it.
Wiring plan_wiring(const files::ScaleFile& scale);

}  // namespace cornerbench::commissioning
