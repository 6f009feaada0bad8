#pragma once

#include <array>

#include "firmware/scale/condition.h"

/// What can be wrong with a scale, as edits of its condition.
namespace cornerbench::scale {

/// A cause; `unlisted` stands for all that this list does not have.
enum class Cause : unsigned char {
    healthy,
    upside_down,
    signal_pair_swapped,
    excitation_pair_swapped,
    crossed_pairs,
    open_wire,
    shorted_wires,
    wet_leak,
    loose_terminal,
    altered_cable,
    swapped_cells,
    wrong_cell,
    shifted_zero,
    damaged_arm,
    weak_output,
    trim_off,
    rubbing,
    bound_support,
    unseated_support,
    settled_footing,
    sense_open,
    excitation_low,
    home_run_loose,
    unlisted
};

inline constexpr int cause_count = static_cast<int>(Cause::unlisted) + 1;

constexpr int index_of(Cause cause) {
    return static_cast<int>(cause);
}

/// The name used in files, commands and output, such as "loose-terminal".
const char* name_of(Cause cause);

/// What kind of place a cause sits at.
enum class SiteKind : unsigned char {
    none,
    cell,
    cell_pair,
    support,
    far_side,
    near_side,
    left_end,
    right_end
};

/// A place. `index` counts cells or supports from 0; `other` is the second cell of a pair.
struct Site {
    SiteKind kind = SiteKind::none;
    int index = 0;
    int other = 0;

    friend bool operator==(const Site&, const Site&) = default;
};

/// Which wires or which arm, where a cause has that choice: for crossed-pairs, shorted-wires and wet-leak
/// both wires; for open-wire and loose-terminal wire `a`, or of an open-wire the `whole_cable`; for
/// damaged-arm `arm`; for home-run-loose and sense-open `home_wire`.
struct Variant {
    Wire a = Wire::excitation_plus;
    Wire b = Wire::excitation_plus;
    int arm = 0;
    HomeWire home_wire = HomeWire::excitation_plus;
    bool whole_cable = false;  ///< every wire of it, the shield included; `a` says nothing then

    friend bool operator==(const Variant&, const Variant&) = default;
};

/// Most unknown magnitudes that a cause has.
inline constexpr int max_magnitudes = 2;

/// One cause at one place with its magnitudes, in SI units: see `magnitudes_of`.
struct Fault {
    Cause cause = Cause::healthy;
    Site site;
    Variant variant;
    std::array<double, max_magnitudes> magnitude{};

    friend bool operator==(const Fault&, const Fault&) = default;
};

/// How a magnitude is spread before any reading, and on which scale it is searched.
enum class Spread : unsigned char { uniform, log_uniform };

/// One unknown magnitude of a cause.
struct Magnitude {
    const char* name = "";  ///< with its unit as files and JSON have it, such as "ohm" or "turns"
    double low = 0.0;       ///< SI, see `si_per_unit`
    double high = 0.0;
    Spread spread = Spread::uniform;
    double si_per_unit = 1.0;
};

/// The magnitudes of `cause` at `site` on this scale; `count` is 0, 1 or 2.
struct Magnitudes {
    int count = 0;
    std::array<Magnitude, max_magnitudes> of{};
};

Magnitudes magnitudes_of(const Description& description, Cause cause, const Site& site);

/// True when this scale can have `cause` at all: a box without trims has no trim off, a 4-wire run no sense.
bool possible(const Description& description, Cause cause);

/// Number of places at which this scale can have `cause`, and the place with number `index` from 0.
int site_count(const Description& description, Cause cause);
Site site_at(const Description& description, Cause cause, int index);

/// Number of variants of `cause` on this scale, at least 1, and the variant with number `index` from 0.
int variant_count(const Description& description, Cause cause);
Variant variant_at(const Description& description, Cause cause, int index);

/// Probability of the variant with number `index` before any reading, given the cause; they sum to 1.
double variant_prior(const Description& description, Cause cause, int index);

/// Puts `fault` into `condition`. Healthy and unlisted change nothing.
void apply(const Fault& fault, const Description& description, Condition& condition);

}  // namespace cornerbench::scale
