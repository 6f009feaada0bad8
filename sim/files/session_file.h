#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/scale/causes.h"
#include "sim/files/file_error.h"
#include "sim/files/key_text.h"
#include "sim/files/scale_file.h"
#include "sim/files/sheet_file.h"
#include "sim/files/sheet_load.h"
#include "sim/files/vehicle_file.h"

/// A session at a scale: what is driven, put, pressed and broken, in order.
///
///     name = "A laden tipper"
///     [surroundings]
///     temperature_C = 12
///     [[step]]
///     do = "drive on"
///     vehicle = "tipper-3-axle"
///     [[step]]
///     do = "print"
namespace cornerbench::files {

/// What a step does. The words of the file, in this order.
enum class Deed : unsigned char {
    wait,
    settle,
    drive_on,
    drive_off,
    put,
    take_off,
    press,
    print,
    corner_round,
    power_cut,
    temperature,
    cause,
    mend,
    converter_fault,
    trucks
};

inline constexpr std::string_view deed_words[] = {
    "wait",         "settle",    "drive on",    "drive off", "put",  "take off",        "press", "print",
    "corner round", "power cut", "temperature", "cause",     "mend", "converter fault", "trucks"};

inline constexpr std::string_view panel_key_words[] = {"zero", "tare", "clear", "unit"};

inline constexpr std::string_view converter_fault_words[] = {
    "frames lost", "repeated", "saturated", "reference missing", "transfer failed", "stuck", "bit flipped"};

/// One step. Which members count depends on `deed`; the others stay as they are.
struct Step {
    Deed deed = Deed::wait;
    int line = 0;          ///< of `do`; of `with` where the step is a cause
    double seconds = 0.0;  ///< wait, power cut; longest for settle; how long for faults and temperature
    std::vector<Vehicle> vehicles;  ///< drive on: one; trucks: taken in turn
    double speed_m_per_s = 2.0;
    bool heads_right = true;
    std::optional<double> front_axle_m;  ///< drive on: where it stops; else in the middle
    PlacedLoad load;                     ///< put
    double mass_kg = 0.0;                ///< corner round
    int key = 0;                         ///< press: index in `panel_key_words`
    double step_K = 0.0;                 ///< temperature
    std::string cause_words;             ///< cause: as `--with` takes them, to be read with the scale
    double grows_s = 0.0;                ///< cause: from nothing to its size in so long
    int converter_fault = 0;             ///< index in `converter_fault_words`
    int count = 0;                       ///< trucks
    double apart_s = 0.0;                ///< trucks: from one to the next
    // Of a cause, as `faults::Course` has them.
    double on_s = 0.0;
    double off_s = 0.0;
    bool irregular = false;
    double wander = 0.0;
};

/// What it is like in the yard.
struct SurroundingsText {
    double temperature_C = 20.0;
    double day_swing_K = 0.0;  ///< half the difference between the warmest and the coldest hour
    double start_h = 8.0;      ///< hour of the day at the beginning
    double wind_m_per_s = 0.0;
    double mains_pickup_uV = 0.0;
    double mains_Hz = 50.0;
};

/// A session as its file says it, its steps in order.
struct SessionFile {
    std::string path;
    std::string name;
    SurroundingsText surroundings;
    std::vector<Step> steps;
};

/// Every key of a session file.
const std::vector<PlainKey>& session_keys();
std::string session_keys_text();

/// Reads a session for `scale`: places, vehicles and units are its own. All errors at once.
Loaded<SessionFile> load_session(const std::string& path, const ScaleFile& scale);
Loaded<SessionFile> parse_session(std::string_view text, const std::string& path, const ScaleFile& scale,
                                  const SheetSources& sources);

}  // namespace cornerbench::files
