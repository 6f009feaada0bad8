#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "sim/files/standard_file.h"
#include "sim/virtual_scale/indicator_settings.h"
#include "sim/virtual_scale/replay.h"

namespace cornerbench::tests {

/// The firmware's settings by the notes of a recording; the plainest ones when there are none to use.
inline IndicatorSettings settings_of_notes(const std::map<std::string, std::string>& notes) {
    const auto note = notes.find("scale");
    if (note == notes.end()) return {};
    const auto scale = files::parse_scale(note->second, "note");
    return scale.value ? virtual_scale::indicator_settings(*scale.value) : IndicatorSettings{};
}

/// A text replayed as if it were a recording, with the settings that it carries.
inline virtual_scale::ReplayOutcome replay_text(std::string_view text) {
    hal::TextInMemory source(text);
    const auto replay = std::make_unique<virtual_scale::Replay>(source);
    return replay->run(settings_of_notes(replay->notes()));
}

/// What a replay of any text must never do; empty when it did not.
inline std::string replay_violation(std::string_view text) {
    const virtual_scale::ReplayOutcome outcome = replay_text(text);
    if (outcome.state == hal::ReplayState::running) return "ended without having come to an end";
    if (outcome.state == hal::ReplayState::different && outcome.came.empty() && outcome.recorded.empty())
        return "a difference without words";
    const bool line_there = outcome.line >= 1 && outcome.line <= text.size() + 1;
    return line_there ? "" : "names a line that is not there";
}

}  // namespace cornerbench::tests
