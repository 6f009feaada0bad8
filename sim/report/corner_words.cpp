#include "sim/report/corner_words.h"

#include <spdlog/fmt/fmt.h>

#include "sim/field/fault_words.h"
#include "sim/report/number_words.h"

namespace cornerbench::report {

using diagnosis::CornerFinding;
using diagnosis::CornerFindingKind;
using diagnosis::CornerReport;
using diagnosis::CornerVerdict;

namespace {

std::string place_words(const scale::Site& site) {
    const std::string_view key = field::site_key(site);
    if (key.empty()) return "";
    const bool edge = key == "side" || key == "end";
    return edge ? fmt::format("the {} {}", field::site_value(site), key)
                : fmt::format("{} {}", key, field::site_value(site));
}

/// What the size of a finding means.
std::string size_words(const CornerFinding& finding) {
    const double value = finding.size.value;
    switch (finding.kind) {
        case CornerFindingKind::reversed_cell:
        case CornerFindingKind::dead_cell:
        case CornerFindingKind::exchanged_channels:
            return fmt::format("gain {:.2f}", value);
        case CornerFindingKind::carries_too_little:
        case CornerFindingKind::rubbing:
        case CornerFindingKind::bound_or_weak:
            return fmt::format("{:.2g} % lost", 100.0 * value);
        case CornerFindingKind::reads_too_much:
        case CornerFindingKind::all_corners_off:
            return fmt::format("{:+.2g} %", 100.0 * value);
        case CornerFindingKind::friction:
            return fmt::format("{:.3g} kg", value);
        case CornerFindingKind::unexplained:
            return "";
    }
    return "";
}

std::string finding_words(const CornerFinding& finding) {
    std::string text = place_words(finding.place);
    text += (text.empty() ? "" : ": ") + std::string(diagnosis::text_of(finding.kind));
    const std::string size = size_words(finding);
    if (!size.empty()) text += " (" + size + ")";
    const std::string other = place_words(finding.other_place);
    if (!other.empty()) text += ", or at " + other;
    return text;
}

}  // namespace

std::string corner_words(const CornerReport& report) {
    if (report.error != diagnosis::CornerError::none)
        return fmt::format("not judged: {}", diagnosis::text_of(report.error));
    if (report.verdict == CornerVerdict::alike) return "corners alike";
    if (report.count == 0) return "too few corners read to judge";
    std::string text;
    for (int i = 0; i < report.count; ++i)
        text += (i > 0 ? "; " : "") + finding_words(report.findings[static_cast<std::size_t>(i)]);
    return text;
}

}  // namespace cornerbench::report
