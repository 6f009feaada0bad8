#include "sim/report/finding_words.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/field/fault_words.h"
#include "sim/field/places.h"
#include "sim/files/shown_words.h"

namespace cornerbench::report {

using diagnosis::Quantity;
using diagnosis::Reading;

namespace {

constexpr std::array<const char*, diagnosis::look_count> look_words = {
    "load arrow", "wire colours", "gap at support", "end gap", "trim", "terminals"};

/// A wire or arm is likely when it has this share of its cause; more than these are only counted.
constexpr double worth_naming = 0.1;
constexpr int most_ways = 2;

/// A magnitude's name as JSON has it, as a unit that people read.
std::string unit_words(const std::string& name) {
    if (name == "mV_per_V") return "mV/V";
    if (name == "kN_per_mm") return "kN/mm";
    if (name == "limit_kN") return "kN limit";
    if (name == "ratio") return "of its output";
    if (name == "share") return "of load past the cell";
    return name;
}

/// Equal masses, one over each support.
bool is_spread(const diagnosis::Load& load, const scale::Deck& deck) {
    if (load.count != 2 * deck.sections) return false;
    for (int i = 0; i < load.count; ++i) {
        const field::Place over = field::over_support(deck, i);
        const diagnosis::Standing& s = load.standing[static_cast<std::size_t>(i)];
        if (s.x_m != over.x_m || s.y_m != over.y_m || s.mass_kg != load.standing[0].mass_kg) return false;
    }
    return true;
}

std::string load_words(const diagnosis::Load& load, const scale::Description& d) {
    if (load.count == 0) return "deck empty";
    const MassWords mass(d);
    const diagnosis::Standing& s = load.standing[0];
    std::string text = mass.with_unit(load.total_kg());
    const scale::Deck& deck = d.deck;
    if (is_spread(load, deck)) return text + " spread";
    if (load.count > 1) return text + " in " + std::to_string(load.count) + " places";
    const auto stands_at = [&s](const field::Place& at) { return s.x_m == at.x_m && s.y_m == at.y_m; };
    for (int i = 0; i < d.cell_count(); ++i) {
        if (stands_at(field::over_support(deck, i))) return text + " over " + std::to_string(i + 1);
    }
    for (int i = 0; i < deck.sections; ++i) {
        if (stands_at(field::over_section(deck, i))) return text + " on section " + std::to_string(i + 1);
    }
    return text + fmt::format(" at ({:.2f}, {:.2f}) m", s.x_m, s.y_m);
}

std::string ohm_words(double ohm) {
    if (ohm >= 1.0e12) return "no path";
    if (ohm >= 1.0e9) return figures(ohm / 1.0e9) + " Gohm";
    if (ohm >= 1.0e6) return figures(ohm / 1.0e6) + " Mohm";
    if (ohm >= 1.0e4) return figures(ohm / 1.0e3) + " kohm";
    return fmt::format("{:.1f} ohm", ohm);
}

}  // namespace

std::string cause_words(const scale::Fault& fault) {
    std::string text = scale::name_of(fault.cause);
    const std::string_view site = field::site_key(fault.site);
    if (!site.empty()) text += fmt::format(", {} {}", site, field::site_value(fault.site));
    const std::string_view variant = field::variant_key(fault.cause);
    if (fault.variant.whole_cable) return text + ", whole cable";
    if (!variant.empty())
        text += fmt::format(", {} {}", variant, field::variant_value(fault.cause, fault.variant));
    return text;
}

std::string cause_words(const diagnosis::Candidate& candidate) {
    const std::string text = cause_words(candidate.fault);
    return candidate.two_at_once() ? text + " with " + cause_words(candidate.also) : text;
}

std::string cause_words(const diagnosis::Candidate& candidate, const scale::Description& d) {
    const scale::Cause cause = candidate.fault.cause;
    std::string text = cause_words(candidate);
    if (candidate.two_at_once()) return text;
    if (field::variant_key(cause).empty()) return text;
    const auto likely = [](const diagnosis::VariantShare& v) { return v.share >= worth_naming; };
    const auto ways = std::count_if(candidate.variants.begin(), candidate.variants.end(), likely);
    if (ways > most_ways) return text + fmt::format(" or {} more", ways - 1);
    for (int v = 0; v < scale::variant_count(d, cause); ++v) {
        const scale::Variant variant = scale::variant_at(d, cause, v);
        const bool named = variant == candidate.fault.variant;
        if (!named && likely(candidate.variants[static_cast<std::size_t>(v)])) {
            text += variant.whole_cable ? " or whole cable"
                                        : fmt::format(" or {}", field::variant_value(cause, variant));
        }
    }
    return text;
}

std::vector<std::string> magnitude_words(
    const scale::Fault& fault, const std::array<diagnosis::Estimate, scale::max_magnitudes>& estimate,
    const scale::Description& d) {
    const scale::Magnitudes m = scale::magnitudes_of(d, fault.cause, fault.site);
    std::vector<std::string> words;
    for (int k = 0; k < m.count; ++k) {
        const scale::Magnitude& of = m.of[static_cast<std::size_t>(k)];
        const diagnosis::Estimate& e = estimate[static_cast<std::size_t>(k)];
        const bool ohms = std::string_view(of.name) == "ohm";
        const double thousands = !ohms || e.value < 1.0e4 ? 1.0 : e.value < 1.0e6 ? 1.0e3 : 1.0e6;
        const double unit = of.si_per_unit * thousands;
        const char* prefix = thousands == 1.0 ? "" : thousands == 1.0e3 ? "k" : "M";
        // Next to nothing of what it may be anywhere in is nothing, whichever way it points.
        const double value = std::fabs(e.value) < 1.0e-3 * (e.high - e.low) ? 0.0 : e.value;
        words.push_back(fmt::format("{} {}{} ({} to {})", figures(value / unit), prefix, unit_words(of.name),
                                    figures(e.low / unit), figures(e.high / unit)));
    }
    return words;
}

std::string reading_words(const Reading& r, const scale::Description& d) {
    const std::string cell = "cell " + std::to_string(r.cell + 1);
    const std::string load = r.load.count == 0 ? "empty" : load_words(r.load, d);
    switch (r.quantity) {
        case Quantity::weight:
            return load + (r.zero_set                                        ? ", zero set"
                           : r.direction == diagnosis::Direction::decreasing ? ", down"
                           : r.direction == diagnosis::Direction::returned   ? ", returned"
                                                                             : "");
        case Quantity::signal:
            return cell + (r.connected ? " on the bus, " : " signal, ") + load;
        case Quantity::resistance:
            return fmt::format("{}, {} to {}", cell, scale::name_of(r.between_a),
                               scale::name_of(r.between_b));
        case Quantity::excitation:
            return r.place == diagnosis::ExcitationPlace::cell  ? "excitation, " + cell
                   : r.place == diagnosis::ExcitationPlace::box ? "excitation, box"
                                                                : "excitation, indicator";
        case Quantity::channel:
            return "ch. " + std::to_string(r.cell + 1) + ", " + load;
        case Quantity::inspection:
            break;
    }
    return check_words(r, d);
}

std::string check_words(const Reading& r, const scale::Description& d) {
    const std::string cell = std::to_string(r.cell + 1);
    switch (r.quantity) {
        case Quantity::weight:
            return "weight, " + load_words(r.load, d) +
                   (r.direction == diagnosis::Direction::decreasing ? ", come down from twice that" : "");
        case Quantity::signal:
            return "signal of cell " + cell + (r.connected ? ", connected, " : ", lifted, ") +
                   load_words(r.load, d);
        case Quantity::resistance:
            return fmt::format("resistance {} to {} of cell {}, lifted", scale::name_of(r.between_a),
                               scale::name_of(r.between_b), cell);
        case Quantity::excitation:
            return r.place == diagnosis::ExcitationPlace::cell  ? "excitation at the wires of cell " + cell
                   : r.place == diagnosis::ExcitationPlace::box ? "excitation in the box"
                                                                : "excitation at the indicator";
        case Quantity::channel:
            return "channel " + cell + ", " + load_words(r.load, d);
        case Quantity::inspection: {
            const std::string look = look_words[static_cast<std::size_t>(r.look)];
            if (r.look == diagnosis::Look::end_gap) return "look at the end gaps";
            if (r.look == diagnosis::Look::gap_at_support) return "look for a gap at support " + cell;
            return "look at the " + look + " of cell " + cell;
        }
    }
    return "";
}

std::string seen_words(const Reading& r) {
    if (r.quantity == Quantity::inspection && r.exchanged && !r.as_it_should_be)
        return fmt::format("{} and {} exchanged", scale::name_of(r.between_a), scale::name_of(r.between_b));
    if (r.quantity == Quantity::inspection)
        return r.as_it_should_be ? "as it should be" : "not as it should be";
    if (r.shown == diagnosis::Shown::at_least) return "at least " + ohm_words(r.value);
    if (r.quantity == Quantity::resistance) return "over range";
    return shown_words(r.shown);
}

std::string read_words(const Reading& r, const MassWords& mass) {
    if (r.quantity == Quantity::inspection || r.shown != diagnosis::Shown::value) return seen_words(r);
    if (r.quantity != Quantity::resistance) return error_words(r, r.value, mass);
    return std::isfinite(r.value) ? value_words(r, std::log(r.value), mass) : seen_words(r);
}

std::string shown_words(diagnosis::Shown shown) {
    return std::string(files::word_of(shown));
}

std::string error_words(const Reading& r, double value, const MassWords& mass) {
    return r.quantity == Quantity::weight ? mass.divisions(value - r.load.total_kg())
                                          : value_words(r, value, mass);
}

std::string value_words(const Reading& r, double value, const MassWords& mass) {
    switch (r.quantity) {
        case Quantity::weight:
            return mass.with_unit(value);
        case Quantity::signal:
            return r.is_ratio ? fmt::format("{:.4f} mV/V", value * 1.0e3)
                              : fmt::format("{:.3f} mV", value * 1.0e3);
        case Quantity::channel:
            return fmt::format("{:.4f} mV/V", value * 1.0e3);
        case Quantity::excitation:
            return fmt::format("{:.3f} V", value);
        case Quantity::resistance:
            return ohm_words(std::exp(value));
        case Quantity::inspection:
            break;
    }
    return "";
}

}  // namespace cornerbench::report
