#include "sim/training/drill_level.h"

#include <algorithm>
#include <span>

#include "firmware/diagnosis/diagnose.h"
#include "sim/field/fault_draw.h"
#include "sim/field/fault_effect.h"
#include "sim/field/specimen.h"
#include "sim/field/trimmed_corners.h"
#include "sim/field/visit.h"

namespace cornerbench::training {

using scale::Cause;
using scale::Fault;

namespace {

/// Draws of what is hidden are independent of the specimen's.
constexpr std::uint64_t hidden_stream = 41;
/// Standard uncertainties: what is hidden can be found.
constexpr double worth_finding = 10.0;
constexpr int most_draws = 200;
/// Of what to hide, until it makes a drill.
constexpr int most_tries = 12;
constexpr double sound_share = 1.0 / 8.0;
/// Turns by which the trims of the last level were left out of place, standard deviation.
constexpr double tired_trim_turns = 1.0;

constexpr std::array<Level, level_count> levels{{
    {1, "a cell the wrong way round, or wires exchanged"},
    {2, "a wire broken, shorted or wet"},
    {3, "anything at one cell, or nothing"},
    {4, "the deck and what it stands on, or nothing"},
    {5, "any one cause, or nothing"},
    {6, "two causes at once, and tired trims"},
}};

constexpr Cause reversed[] = {Cause::upside_down, Cause::signal_pair_swapped, Cause::excitation_pair_swapped,
                              Cause::crossed_pairs};
constexpr Cause wires[] = {Cause::open_wire, Cause::shorted_wires, Cause::wet_leak, Cause::sense_open};
constexpr Cause at_a_cell[] = {
    Cause::upside_down,  Cause::signal_pair_swapped, Cause::open_wire,     Cause::shorted_wires,
    Cause::wet_leak,     Cause::loose_terminal,      Cause::altered_cable, Cause::wrong_cell,
    Cause::shifted_zero, Cause::damaged_arm,         Cause::weak_output,   Cause::trim_off};
constexpr Cause of_the_deck[] = {Cause::rubbing, Cause::bound_support, Cause::unseated_support,
                                 Cause::settled_footing};

std::span<const Cause> causes_of(int level) {
    switch (level) {
        case 1:
            return reversed;
        case 2:
            return wires;
        case 3:
            return at_a_cell;
        case 4:
            return of_the_deck;
        default:
            return {};
    }
}

/// Priors over the level's causes; over all of them where it names none.
diagnosis::Priors weights_of(const scale::Description& d, int level) {
    diagnosis::Priors weights = diagnosis::default_priors(d);
    weights[static_cast<unsigned>(scale::index_of(Cause::healthy))] = 0.0;
    weights[static_cast<unsigned>(scale::index_of(Cause::unlisted))] = 0.0;
    const std::span<const Cause> allowed = causes_of(level);
    if (allowed.empty()) return weights;
    for (int i = 0; i < scale::cause_count; ++i) {
        if (std::find(allowed.begin(), allowed.end(), static_cast<Cause>(i)) == allowed.end()) {
            weights[static_cast<unsigned>(i)] = 0.0;
        }
    }
    return weights;
}

std::vector<Fault> draw_once(const scale::Description& d, int level, std::uint64_t seed,
                             field::RandomSource& random) {
    std::vector<Fault> hidden;
    const bool may_be_sound = level >= 3 && level < level_count;
    if (random.share() < sound_share && may_be_sound) return hidden;
    const diagnosis::Priors weights = weights_of(d, level);
    const std::size_t wanted = level == level_count ? 2 : 1;
    for (int draw = 0; draw < most_draws && hidden.size() < wanted; ++draw) {
        const Fault fault = field::draw_fault(d, weights, random);
        if (!hidden.empty() && fault.cause == hidden.front().cause) continue;
        if (field::largest_effect(d, fault, seed, setting_of(1)) > worth_finding) hidden.push_back(fault);
    }
    return hidden;
}

/// Whether there is something to read, and what the proposed checks come to is right. Of a sound scale and
/// of two causes at once, whose checks take long to think of, only whether there is something to read.
bool makes_a_drill(const scale::Description& d, int level, std::uint64_t seed,
                   std::span<const Fault> hidden) {
    const diagnosis::Priors priors = diagnosis::default_priors(d);
    field::VisitSetting setting;
    setting.setting = setting_of(level);
    const field::ChooseCheck nothing = [](const field::VisitSoFar&) { return std::nullopt; };
    const field::VisitOutcome heard = field::visit(d, priors, hidden, seed, setting, nothing);
    if (heard.end != field::VisitEnd::nothing_left) return false;
    if (hidden.size() != 1) return true;
    const field::VisitOutcome plan = field::visit(d, priors, hidden, seed, setting, field::planned_check);
    return plan.right && plan.checks > 0;
}

}  // namespace

const Level& level_of(int number) {
    return levels[static_cast<unsigned>(std::clamp(number, 1, level_count) - 1)];
}

field::SheetSetting setting_of(int level) {
    field::SheetSetting setting;
    if (level == level_count) setting.scatter.trim_turns = tired_trim_turns;
    return setting;
}

std::vector<double> tired_trims(const scale::Description& d, const field::SheetSetting& setting,
                                std::uint64_t seed) {
    if (!(setting.scatter.trim_turns > field::SheetSetting{}.scatter.trim_turns) || !field::can_trim(d))
        return {};
    field::SheetSetting well_set = setting;
    well_set.scatter.trim_turns = 0.0;
    well_set.scatter.trim_ohm = 0.0;
    well_set.scatter.corner_gain = 0.0;
    const auto drawn = [&](const field::Scatter& scatter) {
        return field::draw_specimen(d, diagnosis::History::calibrated, scatter, seed).condition;
    };
    scale::Condition equal = drawn(well_set.scatter);
    scale::Condition tired = drawn(setting.scatter);
    std::vector<double> off;
    for (int i = 0; i < d.cell_count(); ++i) off.push_back(field::knob(tired, i) - field::knob(equal, i));
    return off;
}

std::vector<Fault> draw_hidden(const scale::Description& d, int level, std::uint64_t seed) {
    field::RandomSource random(seed, hidden_stream);
    std::vector<Fault> first;
    for (int i = 0; i < most_tries; ++i) {
        std::vector<Fault> hidden = draw_once(d, level, seed, random);
        if (makes_a_drill(d, level, seed, hidden)) return hidden;
        if (i == 0) first = std::move(hidden);
    }
    return first;
}

}  // namespace cornerbench::training
