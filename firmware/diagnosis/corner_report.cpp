#include "firmware/diagnosis/corner_report.h"

namespace cornerbench::diagnosis {

CornerFinding* CornerReport::add(CornerFindingKind kind, const scale::Site& place, const CornerEstimate& size,
                                 double significance) {
    if (count == max_findings) {
        full = true;
        return nullptr;
    }
    CornerFinding& finding = findings[count++];
    finding = {};
    finding.kind = kind;
    finding.place = place;
    finding.size = size;
    finding.significance = significance;
    return &finding;
}

const char* text_of(CornerFindingKind kind) {
    switch (kind) {
        case CornerFindingKind::reversed_cell:
            return "reversed cell";
        case CornerFindingKind::dead_cell:
            return "dead cell, or a support bound altogether";
        case CornerFindingKind::carries_too_little:
            return "carries too little: bound, rubbing or weak";
        case CornerFindingKind::rubbing:
            return "rubbing";
        case CornerFindingKind::bound_or_weak:
            return "bound support or weak output";
        case CornerFindingKind::reads_too_much:
            return "reads too much";
        case CornerFindingKind::exchanged_channels:
            return "exchanged channels";
        case CornerFindingKind::friction:
            return "friction";
        case CornerFindingKind::all_corners_off:
            return "all corners off alike";
        case CornerFindingKind::unexplained:
            return "corners differ for no known reason";
    }
    return "";
}

}  // namespace cornerbench::diagnosis
