#pragma once

#include <map>
#include <ostream>
#include <string>

#include "sim/report/style.h"
#include "sim/virtual_scale/replay.h"

/// What a replay found, for people and as JSON.
namespace cornerbench::report {

/// What a replay is printed from.
struct ReplayPage {
    const std::string& path;
    const std::string& scale;  ///< its name
    const std::map<std::string, std::string>& notes;
    const virtual_scale::ReplayOutcome& outcome;
};

/// What is wrong with a recording that could not be replayed to its end; for `finished` and `different`
/// nothing.
std::string recording_fault(hal::ReplayState state);

void print_replay(std::ostream& out, const ReplayPage& page, const Style& style);
void print_replay_json(std::ostream& out, const ReplayPage& page);

}  // namespace cornerbench::report
