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

}  // namespace cornerbench::field
