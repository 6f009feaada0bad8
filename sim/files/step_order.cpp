#include "sim/files/step_order.h"

#include <string>

namespace cornerbench::files {

void StepOrder::take(const Step& step, const TableView& view) {
    const auto cannot = [&view](const std::string& why) { view.error(ErrorKind::impossible, "do", why); };
    switch (step.deed) {
        case Deed::drive_on:
        case Deed::trucks:
            if (vehicle_line_ != 0)
                cannot("the vehicle of line " + std::to_string(vehicle_line_) +
                       " stands there, and the deck takes one at a time: \"drive off\" first");
            else if (step.deed == Deed::drive_on)
                vehicle_line_ = view.spot("do").line;
            break;
        case Deed::drive_off:
            if (vehicle_line_ == 0) cannot("no vehicle is on the deck: \"drive on\" first");
            vehicle_line_ = 0;
            break;
        case Deed::put:
            weights_ = true;
            break;
        case Deed::take_off:
            if (!weights_) cannot("no weight is on the deck: \"put\" first");
            weights_ = false;
            break;
        case Deed::corner_round:
            // It leaves the deck without weights.
            weights_ = false;
            break;
        default:
            break;
    }
}

}  // namespace cornerbench::files
