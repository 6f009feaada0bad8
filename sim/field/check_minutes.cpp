#include "sim/field/check_minutes.h"

#include "firmware/diagnosis/load_history.h"

namespace cornerbench::field {

using diagnosis::Direction;
using diagnosis::ExcitationPlace;
using diagnosis::Look;
using diagnosis::Quantity;
using diagnosis::Reading;

namespace {

bool under_deck(const Reading& r) {
    return r.quantity == Quantity::inspection &&
           (r.look == Look::load_arrow || r.look == Look::gap_at_support);
}

bool at_end(const Reading& r) {
    return r.quantity == Quantity::inspection && r.look == Look::end_gap;
}

bool at_indicator(const Reading& r) {
    return r.quantity == Quantity::weight || r.quantity == Quantity::channel ||
           (r.quantity == Quantity::excitation && r.place == ExcitationPlace::indicator);
}

bool in_box(const Reading& r) {
    return !at_indicator(r) && !under_deck(r) && !at_end(r);
}

bool with_lifted_wires(const Reading& r) {
    return r.quantity == Quantity::resistance || (r.quantity == Quantity::signal && !r.connected);
}

/// Looks leave everything as it is; an excitation or a weight is of the whole scale, all wires landed.
bool with_landed_wires(const Reading& r) {
    return r.quantity != Quantity::inspection && !with_lifted_wires(r);
}

bool needs_load(const Reading& r) {
    return r.quantity == Quantity::weight || r.quantity == Quantity::channel ||
           r.quantity == Quantity::signal;
}

bool moves_weight(const Reading& r, const Workplace& from) {
    return needs_load(r) && !diagnosis::same_load(r.load, from.standing);
}

}  // namespace

double minutes_of(const Reading& r, const Workplace& from, const CheckMinutes& minutes) {
    if (at_end(r)) return minutes.look_at_end;
    if (under_deck(r)) {
        return from.under_support == r.cell ? minutes.read : minutes.look_under_deck + minutes.jacking;
    }
    if (r.quantity == Quantity::excitation && r.place == ExcitationPlace::indicator) {
        return minutes.at_indicator;
    }
    // Moving the weight includes a look at the display.
    double sum = moves_weight(r, from) ? minutes.move_weight : 0.0;
    if (in_box(r) || sum == 0.0) sum += minutes.read;
    if (in_box(r) && !from.box_open) sum += minutes.open_box;
    if (with_lifted_wires(r) && from.lifted_cell != r.cell) sum += minutes.lift_wires;
    if (r.direction == Direction::decreasing) sum += minutes.come_down;
    return sum;
}

Workplace after(const Reading& r, const Workplace& from) {
    Workplace next = from;
    next.under_support = under_deck(r) ? r.cell : -1;
    next.box_open = from.box_open || in_box(r);
    if (with_lifted_wires(r)) next.lifted_cell = r.cell;
    if (with_landed_wires(r)) next.lifted_cell = -1;
    if (moves_weight(r, from)) next.standing = r.load;
    return next;
}

}  // namespace cornerbench::field
