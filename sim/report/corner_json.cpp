#include "sim/report/corner_json.h"

#include <string>

#include "sim/field/fault_words.h"
#include "sim/report/corner_words.h"

namespace cornerbench::report {

using diagnosis::CornerFinding;
using diagnosis::CornerFindingKind;
using diagnosis::CornerReport;
using diagnosis::CornerVerdict;

namespace {

const char* name_of(CornerFindingKind kind) {
    switch (kind) {
        case CornerFindingKind::reversed_cell:
            return "reversed-cell";
        case CornerFindingKind::dead_cell:
            return "dead-cell";
        case CornerFindingKind::carries_too_little:
            return "carries-too-little";
        case CornerFindingKind::rubbing:
            return "rubbing";
        case CornerFindingKind::bound_or_weak:
            return "bound-or-weak";
        case CornerFindingKind::reads_too_much:
            return "reads-too-much";
        case CornerFindingKind::exchanged_channels:
            return "exchanged-channels";
        case CornerFindingKind::friction:
            return "friction";
        case CornerFindingKind::all_corners_off:
            return "all-corners-off";
        case CornerFindingKind::unexplained:
            return "unexplained";
    }
    return "unexplained";
}

/// What a finding's size is of, with its unit if it has one.
const char* size_of(CornerFindingKind kind) {
    switch (kind) {
        case CornerFindingKind::reversed_cell:
        case CornerFindingKind::dead_cell:
        case CornerFindingKind::exchanged_channels:
            return "gain";
        case CornerFindingKind::carries_too_little:
        case CornerFindingKind::rubbing:
        case CornerFindingKind::bound_or_weak:
            return "share_lost";
        case CornerFindingKind::reads_too_much:
        case CornerFindingKind::all_corners_off:
            return "share_gained";
        case CornerFindingKind::friction:
            return "kg";
        case CornerFindingKind::unexplained:
            return "chi_square";
    }
    return "chi_square";
}

const char* name_of(CornerVerdict verdict) {
    switch (verdict) {
        case CornerVerdict::alike:
            return "alike";
        case CornerVerdict::not_alike:
            return "not alike";
        case CornerVerdict::too_little:
            return "too little";
    }
    return "too little";
}

Json place_json(const scale::Site& site) {
    const std::string key(field::site_key(site));
    if (key.empty()) return nullptr;
    switch (site.kind) {
        case scale::SiteKind::cell:
        case scale::SiteKind::support:
            return {{key, site.index + 1}};
        case scale::SiteKind::cell_pair:
            return {{key, {site.index + 1, site.other + 1}}};
        default:
            return {{key, field::site_value(site)}};
    }
}

}  // namespace

Json corner_json(const CornerReport& report) {
    const bool judged = report.error == diagnosis::CornerError::none;
    Json document{{"words", corner_words(report)},
                  {"verdict", judged ? name_of(report.verdict) : "not judged"}};
    document["findings"] = Json::array();
    for (int i = 0; judged && i < report.count; ++i) {
        const CornerFinding& finding = report.findings[static_cast<std::size_t>(i)];
        document["findings"].push_back({{"kind", name_of(finding.kind)},
                                        {"place", place_json(finding.place)},
                                        {"size", finding.size.value},
                                        {"size_of", size_of(finding.kind)},
                                        {"significance", finding.significance},
                                        {"or_at", place_json(finding.other_place)}});
    }
    return document;
}

}  // namespace cornerbench::report
