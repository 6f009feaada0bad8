#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/causes.h"
#include "sim/field/specimen.h"

/// What a technician would read on a scale with known faults. It knows nothing of how readings are judged.
namespace cornerbench::field {

/// Which readings are taken, in this order.
struct SheetPlan {
    bool excitation = true;  ///< at the box
    bool corners = true;     ///< empty, then a weight over every support
    bool sections = true;    ///< the same weight midway across every section
    /// Every corner and section a second time at once, coming down from twice the weight.
    bool decreasing = false;
    bool returned = true;        ///< empty again
    bool channels = true;        ///< per-cell box: each channel, empty and under its own corner's weight
    bool input_output = true;    ///< lifted: E+ to E- and S+ to S- of every cell
    bool insulation = true;      ///< lifted: S+ to shield
    bool empty_signals = true;   ///< lifted, deck empty
    bool loaded_signals = true;  ///< lifted, the weight over the cell's own support
    double test_kg = 0.0;        ///< 0: `usual_corner_kg`
};

/// How a sheet comes about.
struct SheetSetting {
    diagnosis::History history = diagnosis::History::calibrated;
    diagnosis::Zeroed zeroed = diagnosis::Zeroed::before;
    diagnosis::Instruments instruments;
    Scatter scatter = called_to;
    /// False: every reading exact, neither noise nor rounding, weights where they should stand.
    bool noisy = true;
    Unmodelled unmodelled;
};

/// A specimen with its faults, and its calibration from before they came.
struct PreparedScale {
    scale::Condition truth;
    weighing::ZeroAndSpan calibration;
};

/// Draws the specimen with number `seed`, sets it up, then lets the faults come.
PreparedScale prepare_scale(const scale::Description& description, std::span<const scale::Fault> faults,
                            std::uint64_t seed, const SheetSetting& setting);

/// A sheet as it was read, and the scale that it was read on as it truly was.
struct SimulatedSheet {
    std::vector<diagnosis::Reading> readings;
    diagnosis::Instruments instruments;
    diagnosis::Zeroed zeroed = diagnosis::Zeroed::before;
    diagnosis::History history = diagnosis::History::calibrated;
    scale::Condition truth;             ///< the specimen with its faults
    weighing::ZeroAndSpan calibration;  ///< as it stood when the readings were taken
    /// The first deck error met; readings under that load are left out.
    mechanics::DeckError error = mechanics::DeckError::none;

    /// What the core's diagnosis takes. Valid as long as this sheet's readings are.
    diagnosis::Sheet sheet() const { return {readings, instruments, zeroed, history}; }
};

/// Draws a specimen, sets it up, lets the faults come, and reads it. The same seed gives the same sheet; with
/// other faults it gives the same specimen and the same instrument errors.
SimulatedSheet simulate_sheet(const scale::Description& description, std::span<const scale::Fault> faults,
                              std::uint64_t seed, const SheetPlan& plan = {},
                              const SheetSetting& setting = {});

/// What would be read with exact instruments on the specimen that `draws` choose, with one fault; `draws`
/// grow to everything that is drawn.
SimulatedSheet read_exactly(const scale::Description& description, const scale::Fault& fault, Draws& draws,
                            const SheetPlan& plan, const SheetSetting& setting);

}  // namespace cornerbench::field
