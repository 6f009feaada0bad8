#pragma once

#include <array>
#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "hal/recorded/text_stream.h"
#include "sim/bad_days/fault_model.h"
#include "sim/files/scale_file.h"
#include "sim/files/standard_file.h"

/// One bad day: ordinary traffic, and what goes wrong meanwhile.
namespace cornerbench::bad_days {

/// A scale as days are spent on it.
struct DayScale {
    std::string
        name;  ///< of its file, without folder and ending; "-per-cell" behind it when its box was changed
    std::string text;  ///< of the file
    files::ScaleFile file;
    files::Standard standard;
};

/// The same scale with a channel per cell, as most cases that only such a box has need one; a scale that has
/// one already comes back as it is.
DayScale with_channel_per_cell(const DayScale& scale);

/// What a cause that no firmware can notice did on a day.
struct Excused {
    std::string what;  ///< the cause's name, or `entered calibration`
    const char* why = "";
    bool showed = false;
    double error_d = 0.0;  ///< largest error shown as right, divisions
    double load_d = 0.0;   ///< under this load, divisions
    double bound_d = 0.0;  ///< the most that it can be there, `error_bound`
    const char* bound_from = "";
    double unexplained_d = 0.0;  ///< `Judge::unexplained_d`
};

/// What came of a day: a wrong weight if there was one, how often what happened, and how long it was judged.
struct DayOutcome {
    std::string wrong;    ///< the first silent wrong weight; empty: there was none
    std::string refusal;  ///< a mishap that the model does not have; the day ended there
    std::array<int, kind_count> happened{};
    std::vector<Excused> excused;  ///< at most one
    long judged = 0;
    double longest_s = 0.0;
    double seconds = 0.0;
    std::uint64_t hash = 0;          ///< of all that the firmware showed since it last started
    std::vector<std::string> story;  ///< only when asked for
};

/// What a day is asked beside its seed: its story, a recording, chosen mishaps.
struct DaySetting {
    bool tell = false;
    hal::TextSink* recording = nullptr;
    std::map<std::string, std::string> notes{};  ///< laid into the recording first
    /// These instead of drawn ones, one after another; for checks.
    std::vector<Mishap> mishaps{};
};

/// One seed on one scale is one day.
DayOutcome spend_day(const DayScale& scale, std::uint64_t seed, const DaySetting& setting = {});

}  // namespace cornerbench::bad_days
