#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/diagnosis/reading.h"
#include "sim/files/key_text.h"
#include "sim/files/scale_file.h"
#include "sim/files/standard_file.h"

/// The test sheet: what a day of tests puts on a scale, line by line, and what was then shown. `plan` writes
/// it empty, `survey` and `report` read it filled.
namespace cornerbench::files {

/// The tests of a day; `test_words` names each.
enum class TestKind : unsigned char {
    zero,           ///< the deck empty, zero just set
    repeatability,  ///< the same load once more
    eccentricity,
    weighing,
    substitution,  ///< a load of unknown mass in place of the same load in weights
    zero_return,
    discrimination
};

inline constexpr std::array<std::string_view, 7> test_words{
    "zero", "repeatability", "eccentricity", "weighing", "substitution", "zero return", "discrimination"};

/// What kind of place a load stands at; see TestPlace.
enum class PlaceKind : unsigned char { empty, support, section, midspan, spread, pattern, rolling };

/// Places of a load that rolls over the deck: at its left end, in the middle, at its right end.
inline constexpr int rolling_places = 3;

/// Where the load stands: over support or section n, midway between two sections, spread over the deck, on a
/// test pattern across the deck at section n, or on wheels that roll over the deck.
struct TestPlace {
    PlaceKind kind = PlaceKind::empty;
    int index = 0;  ///< from 0

    friend bool operator==(const TestPlace&, const TestPlace&) = default;
};

/// "empty", "support 3", "section 2", "midspan 1", "spread", "pattern 2", "rolling 1".
std::string place_text(const TestPlace& place);

/// One line of a sheet: a load at a place, and what was shown under it.
struct TestLine {
    TestKind test = TestKind::zero;
    TestPlace place;
    double load_kg = 0.0;        ///< all that stands there, substitution loads by their nominal mass
    double substitute_kg = 0.0;  ///< the part of it that is no test weight
    bool decreasing = false;
    std::optional<double> indication_kg{};  ///< nothing: not done, or `shown`
    std::optional<double> added_kg{};       ///< small weights until the display went one division up
    std::optional<double> after_kg{};       ///< discrimination: what was shown with the extra load
    diagnosis::Shown shown = diagnosis::Shown::value;
    std::string note{};
    int line = 0;  ///< in the file

    bool shows_weight() const { return shown == diagnosis::Shown::value; }
    /// All that its test asks of the display stands there.
    bool is_read() const {
        return !shows_weight() || (indication_kg && (test != TestKind::discrimination || after_kg));
    }
};

/// Standard uncertainties of a day.
struct TestUncertainties {
    double weights = 3.0e-5;  ///< of test weights, relative; M1 by its limits (OIML R 111-1, memory)
    /// Of one weighing; pooled with what the repeatability lines show. Common practice for a sound scale with
    /// an electronic indicator, no source.
    double repeatability_divisions = 0.05;
    double placing_m = 0.058;           ///< where a load stood, each way
    double added_step_divisions = 0.1;  ///< of the small weights
};

/// A corner that was adjusted on the day.
struct TrimDone {
    int support = 0;  ///< from 0
    double from = 0.0;
    double to = 0.0;
    std::string note{};
};

/// A test sheet, empty or filled, with the scale it is for.
struct TestSheet {
    std::string path;
    ScaleFile scale;
    std::string scale_path;  ///< as the sheet names it
    std::string standard;    ///< file or name; empty: the scale's own
    Stage stage = Stage::verification;
    std::string date;  ///< "2026-11-29"; may be empty
    std::string site{};
    std::string by{};
    double weights_kg = 0.0;  ///< test weights on site
    TestUncertainties uncertainties;
    std::vector<TestLine> lines;
    std::vector<TrimDone> trims{};
    std::string serial{};               ///< of the scale or its indicator
    std::string weights_certificate{};  ///< of the test weights
    std::optional<double> temperature_C{};
    bool simulated = false;  ///< made up by a simulated day, not read on a scale
};

/// A day of the calendar, year first: "2026-11-29".
bool is_date(const std::string& text);

/// Every key of a test sheet; those of "line" stand under each [[line]].
const std::vector<PlainKey>& test_sheet_keys();
std::string test_sheet_keys_text();

/// Reads the sheet at `path` and the scale that it names. All errors at once.
Loaded<TestSheet> load_test_sheet(const std::string& path);

/// The same from text; the scale it names is looked for beside `path`.
Loaded<TestSheet> parse_test_sheet(std::string_view text, const std::string& path);

/// What a line of the sheet may show at its end, such as "limit 20".
using LineRemark = std::vector<std::string>;

/// The sheet as a file. `head` is put at the top as a comment, `remarks` (one a line, may be empty) behind
/// the lines' tests.
std::string test_sheet_text(const TestSheet& sheet, const std::string& head, const LineRemark& remarks);

}  // namespace cornerbench::files
