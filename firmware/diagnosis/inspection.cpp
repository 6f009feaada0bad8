#include "firmware/diagnosis/inspection.h"

#include "firmware/numbers/elementary.h"
#include "firmware/scale/exchanged_wires.h"

namespace cornerbench::diagnosis {

using scale::Cause;
using scale::SiteKind;

namespace {

bool at(const scale::Fault& fault, int place) {
    if (fault.site.kind == SiteKind::cell_pair) {
        return fault.site.index == place || fault.site.other == place;
    }
    return (fault.site.kind == SiteKind::cell || fault.site.kind == SiteKind::support) &&
           fault.site.index == place;
}

/// Probability of finding a thing not as it should be where nothing is wrong with it: our own estimates,
/// common practice, no source. An arrow is cut into the cell; a gap or a trim is a matter of opinion.
double found_wrong_without_cause(Look look) {
    switch (look) {
        case Look::load_arrow:
            return 0.002;
        case Look::wire_colours:
            return 0.01;
        case Look::gap_at_support:
            return 0.02;
        case Look::end_gap:
        case Look::trim:
            return 0.05;
        case Look::terminals:
            return 0.03;
    }
    return 0.05;
}

/// Probability of finding the thing not as it should be.
double found_wrong(const Reading& r, const scale::Fault& fault) {
    const bool here = at(fault, r.cell);
    const double by_chance = found_wrong_without_cause(r.look);
    switch (r.look) {
        case Look::load_arrow:
            return here && fault.cause == Cause::upside_down ? 0.97 : by_chance;
        case Look::wire_colours:
            if (!here) return by_chance;
            switch (fault.cause) {
                case Cause::signal_pair_swapped:
                case Cause::excitation_pair_swapped:
                case Cause::crossed_pairs:
                    return 0.93;
                case Cause::wrong_cell:
                    return 0.20;
                default:
                    return by_chance;
            }
        case Look::gap_at_support:
            if (!here) return by_chance;
            return fault.cause == Cause::unseated_support  ? 0.90
                   : fault.cause == Cause::settled_footing ? 0.50
                   : fault.cause == Cause::bound_support   ? 0.20
                                                           : by_chance;
        case Look::end_gap:
            return fault.cause == Cause::rubbing &&
                           (fault.site.kind == SiteKind::left_end || fault.site.kind == SiteKind::right_end)
                       ? 0.85
                       : by_chance;
        case Look::trim:
            return here && fault.cause == Cause::trim_off ? 0.70 : by_chance;
        case Look::terminals:
            if (!here) return by_chance;
            return fault.cause == Cause::loose_terminal  ? 0.70
                   : fault.cause == Cause::wet_leak      ? 0.50
                   : fault.cause == Cause::shorted_wires ? 0.20
                   : fault.cause == Cause::open_wire     ? (fault.variant.whole_cable ? 0.50 : 0.20)
                                                         : by_chance;
    }
    return by_chance;
}

/// Whoever names the exchanged wires has them right so often; common practice, no source.
constexpr double named_right = 0.97;

/// Probability that the wires which `r` names are named when `fault` is why something was found.
double named(const Reading& r, const scale::Fault& fault) {
    constexpr double pairs = scale::exchangeable_pairs;
    const scale::ExchangedWires wires = scale::exchanged_by(fault);
    if (!wires.any || !at(fault, r.cell)) return 1.0 / pairs;
    const bool these = (r.between_a == wires.a && r.between_b == wires.b) ||
                       (r.between_a == wires.b && r.between_b == wires.a);
    return these ? named_right : (1.0 - named_right) / (pairs - 1.0);
}

}  // namespace

double log_inspection(const Reading& r, const scale::Fault& fault, const scale::Fault& also) {
    // Something not on the list may show at any look, or at none.
    constexpr double more_often = 2.0;
    const double by_chance = found_wrong_without_cause(r.look);
    const double by_fault = fault.cause == Cause::unlisted ? more_often * by_chance : found_wrong(r, fault);
    // Each of two shows by itself.
    const double by_also = found_wrong(r, also);
    const double wrong = 1.0 - (1.0 - by_fault) * (1.0 - by_also) / (1.0 - by_chance);
    if (r.as_it_should_be || !r.exchanged) return numbers::log(r.as_it_should_be ? 1.0 - wrong : wrong);
    const double share = ((by_fault - by_chance) * named(r, fault) + (by_also - by_chance) * named(r, also) +
                          by_chance / scale::exchangeable_pairs) /
                         (by_fault + by_also - by_chance);
    return numbers::log(wrong * share);
}

}  // namespace cornerbench::diagnosis
