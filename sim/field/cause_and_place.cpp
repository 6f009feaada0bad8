#include "sim/field/cause_and_place.h"

#include <algorithm>

namespace cornerbench::field {

bool same_cause_and_place(const scale::Fault& a, const scale::Fault& b) {
    if (a.cause != b.cause || a.site.kind != b.site.kind) return false;
    switch (a.site.kind) {
        case scale::SiteKind::cell:
        case scale::SiteKind::support:
            return a.site.index == b.site.index;
        case scale::SiteKind::cell_pair:
            return std::minmax({a.site.index, a.site.other}) == std::minmax({b.site.index, b.site.other});
        default:
            return true;
    }
}

bool same_cause_and_place(const diagnosis::Candidate& candidate, const scale::Fault& fault) {
    return !candidate.two_at_once() && same_cause_and_place(candidate.fault, fault);
}

bool same_cause_and_place(const diagnosis::Candidate& a, const diagnosis::Candidate& b) {
    return (same_cause_and_place(a.fault, b.fault) && same_cause_and_place(a.also, b.also)) ||
           (same_cause_and_place(a.fault, b.also) && same_cause_and_place(a.also, b.fault));
}

}  // namespace cornerbench::field
