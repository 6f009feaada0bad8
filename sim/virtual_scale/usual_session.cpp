#include "sim/virtual_scale/usual_session.h"

#include <algorithm>

namespace cornerbench::virtual_scale {

using files::Deed;
using files::Step;

files::Vehicle usual_truck(const files::ScaleFile& scale) {
    files::Vehicle truck;
    truck.name = "three-axle truck";
    const double total_kg = std::min(26'000.0, 0.6 * scale.description.max_kg);
    truck.axles = {{0.28 * total_kg, 0.0}, {0.36 * total_kg, 3.9}, {0.36 * total_kg, 5.25}};
    return truck;
}

files::SessionFile usual_session(const files::ScaleFile& scale, double test_kg) {
    files::SessionFile session;
    session.name = "the usual session";
    const auto add = [&session](Deed deed) -> Step& {
        session.steps.emplace_back();
        session.steps.back().deed = deed;
        session.steps.back().seconds = 60.0;
        return session.steps.back();
    };
    add(Deed::settle);
    add(Deed::press).key = 0;
    Step& on = add(Deed::drive_on);
    on.vehicles = {usual_truck(scale)};
    add(Deed::settle);
    add(Deed::print);
    add(Deed::drive_off);
    add(Deed::settle);
    add(Deed::print);
    add(Deed::corner_round).mass_kg = test_kg;
    return session;
}

}  // namespace cornerbench::virtual_scale
