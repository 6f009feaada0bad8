#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "firmware/diagnosis/corner_report.h"
#include "sim/files/scale_file.h"
#include "sim/files/session_file.h"
#include "sim/files/standard_file.h"
#include "sim/virtual_scale/session_record.h"
#include "sim/virtual_scale/virtual_scale.h"

/// Runs a session on a virtual scale.
namespace cornerbench::virtual_scale {

/// How a run says what it measured; who reports it knows. Empty ones say numbers in kg, and nothing of
/// corners.
struct SessionWords {
    std::function<std::string(double kg)> mass;
    std::function<std::string(const diagnosis::CornerReport&)> corners;
    /// A weight as a panel shows it.
    std::function<std::string(const weighing::ShownWeight&, scale::MassUnit)> weight = {};
};

/// With what a session is run beside its file.
struct SessionSetting {
    std::uint64_t seed = 1;
    /// Causes that hold from the beginning, after the calibration.
    std::vector<scale::Fault> faults;
    double trace_every_s = 0.1;
    /// Told the share that is done, now and then.
    std::function<void(double)> progress;
    /// Where every call between firmware and board is written to, with these notes in front. Null: nowhere.
    hal::TextSink* recording = nullptr;
    std::map<std::string, std::string> notes;
    SessionWords words;
};

/// Draws a specimen within the file's tolerances, calibrates it with weights, lets the faults come and goes
/// through the steps. The cause words of every step must have been read before without an error.
SessionRecord run_session(const files::ScaleFile& scale, const files::Standard& standard,
                          const files::SessionFile& session, const SessionSetting& setting);

}  // namespace cornerbench::virtual_scale
