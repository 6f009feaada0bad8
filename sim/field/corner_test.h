#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "firmware/diagnosis/reading.h"
#include "firmware/scale/causes.h"
#include "firmware/weighing/still_scale.h"
#include "sim/files/standard_file.h"

namespace cornerbench::field {

/// What the display shows under one load, and by how much that is wrong.
struct TestResult {
    int index = 0;  ///< support or section, from 0
    double shown_kg = 0.0;
    double shown_error_kg = 0.0;  ///< shown less put on
    /// Before rounding, less put on: what small weights added until the display changes bring to light.
    double exact_error_kg = 0.0;
    double limit_kg = 0.0;
    bool judged_as_shown = false;  ///< the limit holds for what is shown, not for the error before rounding
    diagnosis::Shown shown = diagnosis::Shown::value;
    mechanics::DeckError deck_error = mechanics::DeckError::none;
    std::array<bool, scale::max_cells> lifted{};  ///< supports that carry nothing under this load

    /// The error that the limit holds for.
    double judged_error_kg() const { return judged_as_shown ? shown_error_kg : exact_error_kg; }

    /// A number is shown, and the deck bears the load.
    bool has_value() const {
        return shown == diagnosis::Shown::value && deck_error == mechanics::DeckError::none;
    }
    /// Within the limit; false without a value.
    bool within() const;
};

/// Largest result less smallest, of one round.
struct Spread {
    double kg = 0.0;
    double limit_kg = 0.0;
    bool judged = false;  ///< the standard limits it
    bool within() const;
};

/// The corner and section test that a scale would show, and its verdict.
struct CornerTest {
    double mass_kg = 0.0;
    TestResult empty;  ///< with the zero from before the faults
    std::vector<TestResult> supports;
    std::vector<TestResult> sections;
    TestResult returned;  ///< empty again
    Spread support_spread;
    Spread section_spread;

    bool within() const;
};

/// How the test is made and judged.
struct CornerTestSetting {
    double mass_kg = 0.0;
    files::Stage stage = files::Stage::service;
    /// True: the display's exact value instead of whole divisions.
    bool unrounded = false;
    /// How the indicator was calibrated; none: on the sound scale.
    std::optional<weighing::ZeroAndSpan> calibration{};
};

/// The load of the standard's rule for this scale, as a whole number of divisions.
double standard_test_kg(const files::Standard& standard, const scale::Description& description);

/// Calibrates the sound scale, lets the faults come, sets zero on what then shows, and puts the weight over
/// every support and midway across every section.
CornerTest test_corners(const scale::Description& description, std::span<const scale::Fault> faults,
                        const files::Standard& standard, std::string_view accuracy_class,
                        const CornerTestSetting& setting);

}  // namespace cornerbench::field
