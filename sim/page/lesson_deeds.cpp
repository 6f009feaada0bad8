#include "sim/page/lesson_deeds.h"

namespace cornerbench::page {

std::vector<Deed> lesson_deeds(const files::LessonFile& lesson) {
    const scale::Description& d = lesson.scale.description;
    std::vector<Deed> deeds;
    for (const scale::Fault& fault : lesson.faults) {
        Deed deed;
        deed.kind = DeedKind::fault;
        deed.number[0] = scale::index_of(fault.cause);
        for (int i = 0; i < scale::site_count(d, fault.cause); ++i) {
            if (scale::site_at(d, fault.cause, i) == fault.site) deed.number[1] = i;
        }
        for (int i = 0; i < scale::variant_count(d, fault.cause); ++i) {
            if (scale::variant_at(d, fault.cause, i) == fault.variant) deed.number[2] = i;
        }
        deed.number[3] = fault.magnitude[0];
        deed.number[4] = fault.magnitude[1];
        deed.number[5] = lesson.hidden ? 1.0 : 0.0;
        deeds.push_back(deed);
    }
    return deeds;
}

}  // namespace cornerbench::page
