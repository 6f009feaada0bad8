#include "firmware/weighing/tare.h"

#include "firmware/weighing/division.h"

namespace cornerbench::weighing {

TareAnswer Tare::put(double tare_kg, TareKind kind) {
    // What shows as zero is no tare.
    if (!(tare_kg > 0.0) || whole_divisions(tare_kg, settings_.division_kg) < 1)
        return TareAnswer::not_positive;
    if (!(tare_kg <= settings_.largest_kg)) return TareAnswer::over_range;
    tare_kg_ = tare_kg;
    kind_ = kind;
    return TareAnswer::done;
}

TareAnswer Tare::take(double gross_kg, bool stable) {
    return stable ? put(gross_kg, TareKind::weighed) : TareAnswer::not_stable;
}

TareAnswer Tare::preset(double tare_kg) {
    return put(rounded_kg(tare_kg, settings_.division_kg), TareKind::preset);
}

void Tare::clear() {
    tare_kg_ = 0.0;
    kind_ = TareKind::none;
}

}  // namespace cornerbench::weighing
