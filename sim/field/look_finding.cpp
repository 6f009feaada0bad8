#include "sim/field/look_finding.h"

#include "firmware/scale/exchanged_wires.h"

namespace cornerbench::field {

using diagnosis::Look;
using diagnosis::Reading;
using scale::Cause;
using scale::Fault;
using scale::SiteKind;

namespace {

constexpr double nearly_sure = 0.95;
constexpr double mostly = 0.75;
constexpr double half = 0.5;
constexpr double now_and_then = 0.2;

bool sits_at(const Fault& fault, int place) {
    switch (fault.site.kind) {
        case SiteKind::cell:
        case SiteKind::support:
            return fault.site.index == place;
        case SiteKind::cell_pair:
            return fault.site.index == place || fault.site.other == place;
        default:
            return false;
    }
}

/// What is taken for wrong though it is not.
double mistaken(Look look) {
    switch (look) {
        case Look::load_arrow:
            return 0.003;
        case Look::wire_colours:
            return 0.01;
        case Look::gap_at_support:
            return 0.03;
        case Look::end_gap:
        case Look::trim:
        case Look::terminals:
            return 0.04;
    }
    return 0.0;
}

/// How well it shows where it sits; 0: not at all.
double shows(Look look, const Fault& fault) {
    switch (look) {
        case Look::load_arrow:
            return fault.cause == Cause::upside_down ? nearly_sure : 0.0;
        case Look::wire_colours:
            return fault.cause == Cause::signal_pair_swapped ||
                           fault.cause == Cause::excitation_pair_swapped ||
                           fault.cause == Cause::crossed_pairs
                       ? nearly_sure
                   : fault.cause == Cause::wrong_cell ? now_and_then
                                                      : 0.0;
        case Look::gap_at_support:
            return fault.cause == Cause::unseated_support  ? nearly_sure
                   : fault.cause == Cause::settled_footing ? half
                   : fault.cause == Cause::bound_support   ? now_and_then
                                                           : 0.0;
        case Look::trim:
            return fault.cause == Cause::trim_off ? mostly : 0.0;
        case Look::terminals:
            return fault.cause == Cause::loose_terminal  ? mostly
                   : fault.cause == Cause::wet_leak      ? half
                   : fault.cause == Cause::shorted_wires ? now_and_then
                   : fault.cause == Cause::open_wire     ? (fault.variant.whole_cable ? half : now_and_then)
                                                         : 0.0;
        case Look::end_gap:
            return 0.0;
    }
    return 0.0;
}

}  // namespace

double chance_of_finding(const Reading& look, const Fault& fault) {
    const double by_mistake = mistaken(look.look);
    if (look.look == Look::end_gap) {
        const bool at_an_end = fault.cause == Cause::rubbing && (fault.site.kind == SiteKind::left_end ||
                                                                 fault.site.kind == SiteKind::right_end);
        return at_an_end ? mostly : by_mistake;
    }
    const double shown = sits_at(fault, look.cell) ? shows(look.look, fault) : 0.0;
    return shown > by_mistake ? shown : by_mistake;
}

void name_exchanged(Reading& look, std::span<const Fault> faults, double draw) {
    constexpr double seldom = 0.02;
    if (look.look != Look::wire_colours || look.as_it_should_be) return;
    for (const Fault& fault : faults) {
        const scale::ExchangedWires wires = scale::exchanged_by(fault);
        if (sits_at(fault, look.cell) && fault.cause == Cause::wrong_cell) return;
        if (!wires.any || !sits_at(fault, look.cell)) continue;
        if (draw < seldom) {
            draw /= seldom;
            break;
        }
        look.exchanged = true;
        look.between_a = wires.a;
        look.between_b = wires.b;
        return;
    }
    int which = static_cast<int>(draw * scale::exchangeable_pairs);
    for (int a = 0; a < scale::live_wire_count; ++a) {
        for (int b = a + 1; b < scale::live_wire_count; ++b) {
            if (which-- != 0) continue;
            look.exchanged = true;
            look.between_a = static_cast<scale::Wire>(a);
            look.between_b = static_cast<scale::Wire>(b);
        }
    }
}

Reading plainly_seen(const Reading& look, std::span<const Fault> faults) {
    Reading seen = look;
    seen.as_it_should_be = true;
    seen.exchanged = false;
    for (const Fault& fault : faults) {
        if (chance_of_finding(look, fault) < half) continue;
        seen.as_it_should_be = false;
        constexpr double nothing_mistaken = 0.5;
        name_exchanged(seen, {&fault, 1}, nothing_mistaken);
    }
    return seen;
}

}  // namespace cornerbench::field
