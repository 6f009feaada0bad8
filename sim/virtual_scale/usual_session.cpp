#include "sim/virtual_scale/usual_session.h"

#include <algorithm>

namespace cornerbench::virtual_scale {

using files::Deed;
using files::Step;

files::SessionFile usual_session(const files::ScaleFile& scale, double test_kg) {
    const double max_kg = scale.description.max_kg;
    files::SessionFile session;
    session.name = "the usual session";
    files::Vehicle truck;
    truck.name = "three-axle truck";
    // Legal axles differ; on a small scale the truck is a small one.
    const double total_kg = std::min(26'000.0, 0.6 * max_kg);
    truck.axles = {{0.28 * total_kg, 0.0}, {0.36 * total_kg, 3.9}, {0.36 * total_kg, 5.25}};
    const auto add = [&session](Deed deed) -> Step& {
        session.steps.emplace_back();
        session.steps.back().deed = deed;
        session.steps.back().seconds = 60.0;
        return session.steps.back();
    };
    add(Deed::settle);
    add(Deed::press).key = 0;
    Step& on = add(Deed::drive_on);
    on.vehicles = {truck};
    add(Deed::settle);
    add(Deed::print);
    add(Deed::drive_off);
    add(Deed::settle);
    add(Deed::print);
    add(Deed::corner_round).mass_kg = test_kg;
    return session;
}

}  // namespace cornerbench::virtual_scale
