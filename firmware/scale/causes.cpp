#include "firmware/scale/causes.h"

#include <limits>

#include "firmware/scale/exchanged_wires.h"

namespace cornerbench::scale {

namespace {

constexpr const char* cause_names[cause_count] = {
    "healthy",        "upside-down",    "signal-pair-swapped", "excitation-pair-swapped",
    "crossed-pairs",  "open-wire",      "shorted-wires",       "wet-leak",
    "loose-terminal", "altered-cable",  "swapped-cells",       "wrong-cell",
    "shifted-zero",   "damaged-arm",    "weak-output",         "trim-off",
    "rubbing",        "bound-support",  "unseated-support",    "settled-footing",
    "sense-open",     "excitation-low", "home-run-loose",      "unlisted"};

/// A hard short still has the resistance of a pinched strand.
constexpr double short_ohm = 0.05;

struct WirePair {
    Wire a;
    Wire b;
};

constexpr WirePair crossings[] = {{Wire::excitation_plus, Wire::signal_plus},
                                  {Wire::excitation_plus, Wire::signal_minus},
                                  {Wire::excitation_minus, Wire::signal_plus},
                                  {Wire::excitation_minus, Wire::signal_minus}};

constexpr WirePair wire_pairs[] = {{Wire::excitation_plus, Wire::excitation_minus},
                                   {Wire::excitation_plus, Wire::signal_plus},
                                   {Wire::excitation_plus, Wire::signal_minus},
                                   {Wire::excitation_plus, Wire::shield},
                                   {Wire::excitation_minus, Wire::signal_plus},
                                   {Wire::excitation_minus, Wire::signal_minus},
                                   {Wire::excitation_minus, Wire::shield},
                                   {Wire::signal_plus, Wire::signal_minus},
                                   {Wire::signal_plus, Wire::shield},
                                   {Wire::signal_minus, Wire::shield}};

constexpr HomeWire sense_wires[] = {HomeWire::sense_plus, HomeWire::sense_minus};
/// A loose signal conductor feeds a converter of hundreds of megohms: it moves nothing, so only these count.
constexpr HomeWire power_wires[] = {HomeWire::excitation_plus, HomeWire::excitation_minus};

/// Share of open wires that is a whole cable: torn off, unplugged or cut through rather than one wire broken.
/// Our own estimate; common practice, no source.
constexpr double whole_cable_share = 0.5;

template <typename T, unsigned N>
constexpr int length(const T (&)[N]) {
    return static_cast<int>(N);
}

SiteKind site_kind(Cause cause) {
    switch (cause) {
        case Cause::healthy:
        case Cause::unlisted:
        case Cause::sense_open:
        case Cause::excitation_low:
        case Cause::home_run_loose:
            return SiteKind::none;
        case Cause::swapped_cells:
            return SiteKind::cell_pair;
        case Cause::rubbing:
        case Cause::bound_support:
        case Cause::unseated_support:
        case Cause::settled_footing:
            return SiteKind::support;
        default:
            return SiteKind::cell;
    }
}

void exchange(CellCondition& cell, Wire a, Wire b) {
    for (Wire& terminal : cell.lands_on) {
        if (terminal == a) {
            terminal = b;
        } else if (terminal == b) {
            terminal = a;
        }
    }
}

void add_leak(CellCondition& cell, Wire a, Wire b, double ohm) {
    if (cell.leak_count < max_leaks) cell.leaks[static_cast<unsigned>(cell.leak_count++)] = {a, b, ohm};
}

void add_contact(const Deck& deck, const Site& site, double stiffness_N_per_m, double limit_N, Condition& c) {
    if (c.contact_count == max_contacts) return;
    const double left = deck.section_x_m[0];
    const double right = deck.section_x_m[static_cast<unsigned>(deck.sections - 1)];
    Contact contact{0.5 * (left + right), 0.5 * deck.width_m, stiffness_N_per_m, limit_N};
    switch (site.kind) {
        case SiteKind::support:
            contact.x_m = deck.section_x_m[static_cast<unsigned>(section_of(site.index, deck.sections))];
            contact.y_m = is_far(site.index, deck.sections) ? deck.width_m : 0.0;
            break;
        case SiteKind::far_side:
            contact.y_m = deck.width_m;
            break;
        case SiteKind::near_side:
            contact.y_m = 0.0;
            break;
        case SiteKind::left_end:
            contact.x_m = left - deck.overhang_m;
            break;
        case SiteKind::right_end:
            contact.x_m = right + deck.overhang_m;
            break;
        default:
            break;
    }
    c.contacts[static_cast<unsigned>(c.contact_count++)] = contact;
}

}  // namespace

const char* name_of(Cause cause) {
    return cause_names[index_of(cause)];
}

Magnitudes magnitudes_of(const Description& d, Cause cause, const Site& site) {
    const Cell& cell = d.cells[static_cast<unsigned>(site.kind == SiteKind::cell ? site.index : 0)];
    Magnitudes m;
    const auto one = [&m](const Magnitude& of) { m.of[static_cast<unsigned>(m.count++)] = of; };
    switch (cause) {
        case Cause::wet_leak:
            one({"ohm", 1.0e2, 1.0e8, Spread::log_uniform});
            break;
        case Cause::loose_terminal:
            one({"ohm", 0.2, 2.0e3, Spread::log_uniform});
            break;
        case Cause::altered_cable:
            one({"m", -0.9 * cell.cable_m, 30.0});
            break;
        case Cause::wrong_cell:
            one({"ratio", 0.3, 3.0, Spread::log_uniform});
            break;
        case Cause::shifted_zero:
            one({"mV_per_V", -0.5 * cell.rated_output_V_per_V, 0.5 * cell.rated_output_V_per_V,
                 Spread::uniform, 1.0e-3});
            break;
        case Cause::damaged_arm:
            one({"ohm", -0.05 * cell.output_ohm, 0.05 * cell.output_ohm});
            break;
        case Cause::weak_output:
            one({"ratio", 0.0, 1.0});
            break;
        case Cause::trim_off:
            if (d.converter == Converter::per_cell) {
                one({"gain", -0.2, 0.2});
            } else {
                one({d.trim.turns > 0.0 ? "turns" : "ohm", -cell.trim_at,
                     trim_last_position(d.trim) - cell.trim_at});
            }
            break;
        case Cause::rubbing:
            one({"kN_per_mm", 2.0e5, 2.0e8, Spread::log_uniform, 1.0e6});
            one({"limit_kN", 1.0e2, 2.0e5, Spread::log_uniform, 1.0e3});
            break;
        case Cause::bound_support:
            one({"share", 0.0, 1.0});
            break;
        case Cause::unseated_support:
            one({"mm", 1.0e-4, 3.0e-2, Spread::log_uniform, 1.0e-3});
            break;
        case Cause::settled_footing:
            one({"mm", 1.0e-4, 3.0e-2, Spread::log_uniform, 1.0e-3});
            break;
        case Cause::excitation_low:
            // A dead supply leaves next to nothing, never quite nothing.
            one({"V", 1.0e-4 * d.excitation_V, 0.97 * d.excitation_V});
            break;
        case Cause::home_run_loose:
            // Up to a joint that has come apart and only touches.
            one({"ohm", 0.2, 1.0e5, Spread::log_uniform});
            break;
        default:
            break;
    }
    return m;
}

bool possible(const Description& d, Cause cause) {
    const bool summed = d.converter == Converter::summed;
    switch (cause) {
        case Cause::trim_off:
            // A shunt without mixing resistors loads the common bus and trims nothing.
            return !summed || d.trim.kind == TrimKind::excitation_series ||
                   (d.trim.kind == TrimKind::signal_shunt && d.trim.mixing_ohm > 0.0);
        case Cause::altered_cable:
            return d.cells[0].cable_m > 0.0;
        case Cause::sense_open:
            return summed && d.home_run_wires == 6;
        case Cause::home_run_loose:
            return summed;
        default:
            return true;
    }
}

int site_count(const Description& d, Cause cause) {
    const int n = d.cell_count();
    switch (site_kind(cause)) {
        case SiteKind::none:
            return 1;
        case SiteKind::cell_pair:
            return n * (n - 1) / 2;
        case SiteKind::support:
            return cause == Cause::rubbing ? n + 4 : n;
        default:
            return n;
    }
}

Site site_at(const Description& d, Cause cause, int index) {
    const int n = d.cell_count();
    switch (site_kind(cause)) {
        case SiteKind::none:
            return {};
        case SiteKind::cell_pair: {
            int first = 0;
            while (index >= n - 1 - first) {
                index -= n - 1 - first;
                ++first;
            }
            return {SiteKind::cell_pair, first, first + 1 + index};
        }
        case SiteKind::support: {
            if (index < n) return {SiteKind::support, index, 0};
            constexpr SiteKind wide[] = {SiteKind::far_side, SiteKind::near_side, SiteKind::left_end,
                                         SiteKind::right_end};
            return {wide[index - n], 0, 0};
        }
        default:
            return {SiteKind::cell, index, 0};
    }
}

int variant_count(const Description&, Cause cause) {
    switch (cause) {
        case Cause::crossed_pairs:
            return length(crossings);
        case Cause::open_wire:
            return live_wire_count + 1;
        case Cause::loose_terminal:
            return live_wire_count;
        case Cause::shorted_wires:
        case Cause::wet_leak:
            return length(wire_pairs);
        case Cause::damaged_arm:
            return arm_count;
        case Cause::sense_open:
            return length(sense_wires);
        case Cause::home_run_loose:
            return length(power_wires);
        default:
            return 1;
    }
}

Variant variant_at(const Description&, Cause cause, int index) {
    Variant v;
    switch (cause) {
        case Cause::crossed_pairs:
            v.a = crossings[index].a;
            v.b = crossings[index].b;
            break;
        case Cause::open_wire:
            v.whole_cable = index == live_wire_count;
            if (!v.whole_cable) v.a = static_cast<Wire>(index);
            break;
        case Cause::loose_terminal:
            v.a = static_cast<Wire>(index);
            break;
        case Cause::shorted_wires:
        case Cause::wet_leak:
            v.a = wire_pairs[index].a;
            v.b = wire_pairs[index].b;
            break;
        case Cause::damaged_arm:
            v.arm = index;
            break;
        case Cause::sense_open:
            v.home_wire = sense_wires[index];
            break;
        case Cause::home_run_loose:
            v.home_wire = power_wires[index];
            break;
        default:
            break;
    }
    return v;
}

double variant_prior(const Description& d, Cause cause, int index) {
    if (cause != Cause::open_wire) return 1.0 / variant_count(d, cause);
    return variant_at(d, cause, index).whole_cable ? whole_cable_share
                                                   : (1.0 - whole_cable_share) / live_wire_count;
}

void apply(const Fault& fault, const Description& d, Condition& c) {
    const auto at = static_cast<unsigned>(fault.site.index);
    const Variant& v = fault.variant;
    const double m = fault.magnitude[0];
    CellCondition& cell = c.cells[at];
    BoxPosition& position = c.positions[at];
    SupportCondition& support = c.supports[at];
    switch (fault.cause) {
        case Cause::healthy:
        case Cause::unlisted:
            break;
        case Cause::upside_down:
            cell.orientation = -cell.orientation;
            break;
        case Cause::signal_pair_swapped:
        case Cause::excitation_pair_swapped:
        case Cause::crossed_pairs: {
            const ExchangedWires wires = exchanged_by(fault);
            exchange(cell, wires.a, wires.b);
            break;
        }
        case Cause::open_wire:
            if (v.whole_cable) cell.open.fill(true);
            cell.open[static_cast<unsigned>(index_of(v.a))] = true;
            break;
        case Cause::shorted_wires:
            add_leak(cell, v.a, v.b, short_ohm);
            break;
        case Cause::wet_leak:
            add_leak(cell, v.a, v.b, m);
            break;
        case Cause::loose_terminal:
            position.contact_ohm[static_cast<unsigned>(index_of(v.a))] += m;
            break;
        case Cause::altered_cable:
            cell.cable_m += m;
            break;
        case Cause::swapped_cells: {
            BoxPosition& other = c.positions[static_cast<unsigned>(fault.site.other)];
            const int landed = position.cell;
            position.cell = other.cell;
            other.cell = landed;
            break;
        }
        case Cause::wrong_cell:
            cell.sensitivity_V_per_V *= m;
            break;
        case Cause::shifted_zero:
            cell.zero_V_per_V += m;
            break;
        case Cause::damaged_arm:
            cell.arm_change_ohm[static_cast<unsigned>(v.arm)] += m;
            break;
        case Cause::weak_output:
            cell.sensitivity_V_per_V *= m;
            break;
        case Cause::trim_off:
            if (c.converter == Converter::per_cell) {
                position.digital_gain *= 1.0 + m;
            } else {
                position.trim_at += m;
            }
            break;
        case Cause::rubbing:
            add_contact(d.deck, fault.site, m, fault.magnitude[1], c);
            break;
        case Cause::bound_support:
            support.bound_share = m;
            break;
        case Cause::unseated_support:
        case Cause::settled_footing:
            support.height_m -= m;
            break;
        case Cause::sense_open:
            c.home_run_ohm[static_cast<unsigned>(index_of(v.home_wire))] =
                std::numeric_limits<double>::infinity();
            break;
        case Cause::excitation_low:
            c.excitation_V = m;
            break;
        case Cause::home_run_loose:
            c.home_run_ohm[static_cast<unsigned>(index_of(v.home_wire))] += m;
            break;
    }
}

}  // namespace cornerbench::scale
