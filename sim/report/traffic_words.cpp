#include "sim/report/traffic_words.h"

#include <cmath>

#include <spdlog/fmt/fmt.h>

namespace cornerbench::report {

using field::DeckPart;
using field::Suspect;
using field::TrafficFinding;
using field::TrafficSign;

namespace {

std::string part_words(DeckPart part) {
    switch (part) {
        case DeckPart::coming_end:
            return "the end where trucks come on";
        case DeckPart::middle:
            return "the middle of the deck";
        case DeckPart::leaving_end:
            return "the end where trucks leave";
        case DeckPart::an_end:
            return "one end of the deck";
        case DeckPart::none:
            break;
    }
    return "the scale";
}

std::string change_words(const Suspect& s) {
    const std::string size = figures(100.0 * std::fabs(s.gain - 1.0), 2);
    switch (s.sign) {
        case TrafficSign::dead:
            return "answers to no load";
        case TrafficSign::reversed:
            return "answers backwards";
        case TrafficSign::reads_more:
            return fmt::format("reads {} % more", size);
        default:
            return fmt::format("reads {} % less", size);
    }
}

std::string first_cell(const TrafficFinding& finding) {
    return finding.suspects.empty() ? "a cell" : fmt::format("cell {}", finding.suspects.front().cell + 1);
}

}  // namespace

std::string traffic_finding_words(const TrafficFinding& finding, const MassWords& words) {
    switch (finding.sign) {
        case TrafficSign::signal_refused:
            return first_cell(finding) + ": the box refuses its signal";
        case TrafficSign::share_with_load:
            return fmt::format("support {} takes a share that depends on the load, {} apart",
                               finding.suspects.front().cell + 1, words.with_unit(finding.kg));
        case TrafficSign::support_height:
            return fmt::format("{} of the empty deck have passed from support to support",
                               words.with_unit(finding.kg));
        case TrafficSign::rubbing:
            if (finding.part == DeckPart::an_end)
                return "both cells of a section take less alike: the deck rubs at one end";
            return fmt::format("driving on and off differ near support {}, by {}: the deck rubs",
                               finding.suspects.front().cell + 1, words.with_unit(2.0 * finding.kg));
        case TrafficSign::zero_moved:
        case TrafficSign::zero_moved_empty: {
            const std::string whose =
                finding.suspects.empty() ? "zero" : fmt::format("zero of {}", first_cell(finding));
            const std::string size =
                fmt::format("{}{} {}", finding.kg > 0.0 ? "+" : "-",
                            figures(std::fabs(finding.kg) / words.division_kg(), 2), "d");
            return finding.sign == TrafficSign::zero_moved
                       ? fmt::format("{} did not return behind a truck: {}", whose, size)
                       : fmt::format("{} moved with nobody on the deck: {}", whose, size);
        }
        default:
            break;
    }
    if (finding.part != DeckPart::none)
        return fmt::format(
            "{} reads {} than before; against where trucks stand {:+.1f} % where they come on, "
            "{:+.1f} % where they leave",
            part_words(finding.part), finding.sign == TrafficSign::reads_more ? "more" : "less",
            100.0 * finding.coming, 100.0 * finding.leaving);
    const Suspect& s = finding.suspects.front();
    return fmt::format("cell {} {} than {}", s.cell + 1, change_words(s),
                       finding.noticed_truck == 0 ? "the others" : "before");
}

std::string suspects_words(const TrafficFinding& finding) {
    std::string text;
    for (const Suspect& s : finding.suspects) {
        if (!text.empty()) text += ", ";
        text += fmt::format("cell {} {}", s.cell + 1, probability_words(s.probability));
        if (s.sign == TrafficSign::reads_more) text += " (more)";
    }
    return text;
}

std::string next_look_words(const TrafficFinding& finding) {
    switch (finding.sign) {
        case TrafficSign::signal_refused:
            return fmt::format(
                "Measure {} at its terminals: excitation, signal, resistances; look at its arrow.",
                first_cell(finding));
        case TrafficSign::dead:
            return fmt::format("Look whether {} is pressed at all, then measure its signal and resistances.",
                               first_cell(finding));
        case TrafficSign::reversed:
            return fmt::format("Look at the arrow of {} and at the colours on its terminals.",
                               first_cell(finding));
        case TrafficSign::reads_less:
        case TrafficSign::reads_more:
            if (finding.part != DeckPart::none)
                return "Clear the gaps there; section test; then lift the wires of the cells there one by "
                       "one.";
            return fmt::format(
                "Put a test weight over {} and its neighbours; gaps, stand and terminals there.",
                first_cell(finding));
        case TrafficSign::share_with_load:
            return fmt::format("Look for a gap at support {}: push a shim under it, empty and loaded.",
                               finding.suspects.front().cell + 1);
        case TrafficSign::support_height:
            return "Look at footings and shims, those that lost load first; level the deck.";
        case TrafficSign::rubbing:
            return "Clear the gaps all round that place, stones and ice first; check bumpers and rods.";
        case TrafficSign::zero_moved:
            return "With the deck empty, look under it for debris and ice, then at the terminals of the "
                   "cells named; "
                   "read zero after the next ten trucks.";
        case TrafficSign::zero_moved_empty:
            return "Look for loose wires and water in box and cables; measure insulation to the shield.";
    }
    return {};
}

std::string_view name_of(TrafficSign sign) {
    constexpr std::string_view names[] = {
        "signal-refused",  "dead",           "reversed", "reads-less", "reads-more",
        "share-with-load", "support-height", "rubbing",  "zero-moved", "zero-moved-empty"};
    return names[static_cast<std::size_t>(sign)];
}

std::string_view name_of(DeckPart part) {
    constexpr std::string_view names[] = {"none", "coming-end", "middle", "leaving-end", "an-end"};
    return names[static_cast<std::size_t>(part)];
}

}  // namespace cornerbench::report
