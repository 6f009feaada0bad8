#include "sim/training/atlas.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "firmware/diagnosis/evidence.h"
#include "firmware/scale/copper.h"
#include "sim/field/cause_and_place.h"
#include "sim/field/comparing.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/field/fault_effect.h"
#include "sim/field/faulty_condition.h"
#include "sim/field/look_finding.h"
#include "sim/field/on_site.h"
#include "sim/field/places.h"
#include "sim/field/possible_checks.h"
#include "sim/field/simulated_sheet.h"

namespace cornerbench::training {

using diagnosis::Candidate;
using diagnosis::Quantity;
using diagnosis::Reading;
using scale::Fault;

namespace {

constexpr std::size_t most_signs = 8;
constexpr std::size_t most_like_it = 5;
/// A cause less likely than this on the corner weights does not look like the one at hand.
constexpr double looks_like_it = 0.03;
constexpr double telling = 3.0;
constexpr double warmer_K = 20.0;
/// Shares of the prior at which an example may lie. Where a magnitude runs from minus to plus, its middle is
/// nothing; of a leak the small ohms are the bad ones.
constexpr double example_shares[] = {0.75, 0.25, 0.9, 0.1, 0.97, 0.03};
constexpr double plain_to_see = 10.0;
constexpr double load_shares[] = {0.25, 0.5, 1.0, 2.0};

double to_two_figures(double value) {
    const double step = std::pow(10.0, std::floor(std::log10(std::fabs(value))) - 1.0);
    return std::round(value / step) * step;
}

field::SheetSetting exact() {
    field::SheetSetting setting;
    setting.noisy = false;
    setting.scatter = field::no_scatter;
    return setting;
}

/// Weight shown exactly, less what stands there; not a number where none is shown.
double error_kg(weighing::StillScale& scale, const weighing::ZeroAndSpan& calibration,
                const mechanics::PointLoad& load, double mass_kg, bool from_twice) {
    if (from_twice) {
        mechanics::PointLoad twice = load;
        twice.force_N *= 2.0;
        scale.put({&twice, 1});
        scale.change({&load, 1});
    } else {
        scale.put({&load, 1});
    }
    const weighing::Indication shown = scale.read(calibration);
    const bool none =
        shown.error != mechanics::DeckError::none || shown.reference_missing || shown.over_range;
    return none ? std::numeric_limits<double>::quiet_NaN() : shown.weight_kg - mass_kg;
}

weighing::ZeroAndSpan zeroed(const weighing::StillScale& scale, weighing::ZeroAndSpan calibration) {
    calibration.zero_ratio = scale.read(calibration).ratio;
    return calibration;
}

void fill_by_load(const scale::Description& d, const Fault& fault, AtlasEntry& entry) {
    const scale::Condition faulty = field::faulty_condition(d, {&fault, 1});
    scale::Condition warm = faulty;
    for (scale::CellCondition& cell : warm.cells) {
        cell.cable_ohm_per_m += scale::copper_per_K * warmer_K * cell.delivered_cable_ohm_per_m;
    }
    const weighing::ZeroAndSpan calibration = weighing::sound_calibration(d);
    const field::Place place = field::over_support(d.deck, entry.near_support);
    weighing::StillScale scale(d, faulty);
    const weighing::ZeroAndSpan at_zero = zeroed(scale, calibration);
    weighing::StillScale warmed(d, warm);
    const weighing::ZeroAndSpan warm_zero = zeroed(warmed, calibration);
    for (const double share : load_shares) {
        ErrorAtLoad at;
        at.mass_kg = std::round(share * entry.test.mass_kg / d.division_kg) * d.division_kg;
        const mechanics::PointLoad load{place.x_m, place.y_m, at.mass_kg * d.gravity};
        at.up_kg = error_kg(scale, at_zero, load, at.mass_kg, false);
        at.down_kg = error_kg(scale, at_zero, load, at.mass_kg, true);
        at.warm_kg = error_kg(warmed, warm_zero, load, at.mass_kg, false);
        at.known = std::isfinite(at.up_kg) && std::isfinite(at.down_kg) && std::isfinite(at.warm_kg);
        entry.by_load.push_back(at);
    }
    const mechanics::PointLoad twice{place.x_m, place.y_m, 2.0 * entry.test.mass_kg * d.gravity};
    scale.put({&twice, 1});
    scale.change({});
    entry.left_at_zero_kg = scale.read(at_zero).weight_kg;
    if (!std::isfinite(entry.left_at_zero_kg)) entry.left_at_zero_kg = 0.0;
}

bool a_number(const Reading& r) {
    return r.shown == diagnosis::Shown::value && std::isfinite(r.value);
}

/// What somebody with exact instruments reads at a scale with that cause, exactly as described otherwise.
Reading read_with(const scale::Description& d, const Candidate& cause, const Reading& wanted) {
    std::vector<Fault> faults;
    if (cause.fault.cause != scale::Cause::healthy) faults.push_back(cause.fault);
    if (cause.two_at_once()) faults.push_back(cause.also);
    if (wanted.quantity == Quantity::inspection) return field::plainly_seen(wanted, faults);
    field::OnSite site(d, faults, 1, exact());
    Reading empty;
    site.take(empty);
    site.take(wanted);
    return site.sheet().readings.back();
}

/// Exact voltages at the indicator, the box and every cell, with and without the cause; those that are not on
/// the sheets already.
void add_excitation(const scale::Description& d, const Fault& fault, std::vector<Reading>& with,
                    std::vector<Reading>& without) {
    Candidate truth;
    truth.fault = fault;
    for (int i = -2; i < d.cell_count(); ++i) {
        Reading volts;
        volts.quantity = Quantity::excitation;
        volts.place = i == -2   ? diagnosis::ExcitationPlace::indicator
                      : i == -1 ? diagnosis::ExcitationPlace::box
                                : diagnosis::ExcitationPlace::cell;
        volts.cell = std::max(i, 0);
        const bool there = std::any_of(with.begin(), with.end(),
                                       [&](const Reading& r) { return field::same_check(r, volts); });
        if (there || with.size() == diagnosis::max_readings) continue;
        with.push_back(read_with(d, truth, volts));
        without.push_back(read_with(d, {}, volts));
    }
}

/// Whether the reading is of the cell at which the cause sits.
bool is_at(const Reading& r, const Fault& fault) {
    const bool of_a_cell = r.quantity != Quantity::excitation || r.place == diagnosis::ExcitationPlace::cell;
    return fault.site.kind == scale::SiteKind::cell && of_a_cell && r.cell == fault.site.index;
}

void fill_signs(const scale::Description& d, const field::SimulatedSheet& with_it,
                const field::SimulatedSheet& without_it, AtlasEntry& entry) {
    std::vector<Reading> with = with_it.readings;
    std::vector<Reading> without = without_it.readings;
    add_excitation(d, entry.fault, with, without);
    diagnosis::Sheet sheet = with_it.sheet();
    sheet.readings = with;
    std::vector<double> memory(diagnosis::diagnosis_doubles(d, sheet));
    std::vector<MeterSign> unchanged;
    const field::Comparison healthy = field::Comparing(d, sheet, {}, memory).with_healthy();
    for (std::size_t i = 0; i < with.size(); ++i) {
        const Reading& r = with[i];
        if (r.quantity == Quantity::weight) continue;
        const auto same = std::find_if(without.begin(), without.end(),
                                       [&](const Reading& s) { return field::same_check(r, s); });
        if (same == without.end()) continue;
        MeterSign sign{r, *same, 0.0};
        if (a_number(r) != a_number(*same)) {
            entry.signs.push_back(sign);
            continue;
        }
        for (const diagnosis::Compared& row : healthy.rows) {
            if (row.reading == static_cast<int>(i))
                sign.standardised = (row.value - row.predicted) / row.uncertainty;
        }
        if (std::fabs(sign.standardised) > telling) {
            entry.signs.push_back(sign);
        } else if (is_at(r, entry.fault)) {
            sign.unchanged = true;
            unchanged.push_back(sign);
        }
    }
    const auto weight_of = [](const MeterSign& s) {
        return s.standardised == 0.0 ? std::numeric_limits<double>::infinity() : std::fabs(s.standardised);
    };
    std::stable_sort(entry.signs.begin(), entry.signs.end(),
                     [&](const MeterSign& a, const MeterSign& b) { return weight_of(a) > weight_of(b); });
    if (entry.signs.size() > most_signs) entry.signs.resize(most_signs);
    entry.signs.insert(entry.signs.end(), unchanged.begin(), unchanged.end());
}

double probability_of(const field::DiagnosedSheet& found, const Fault& fault) {
    for (const Candidate& c : found.candidates) {
        if (field::same_cause_and_place(c, fault)) return c.probability;
    }
    return 0.0;
}

/// The candidate with the magnitudes that fit best.
Candidate best_fit(Candidate c) {
    for (std::size_t k = 0; k < c.estimate.size(); ++k) {
        c.fault.magnitude[k] = c.estimate[k].value;
        c.also.magnitude[k] = c.also_estimate[k].value;
    }
    return c;
}

void fill_lookalikes(const scale::Description& d, const Fault& fault, AtlasEntry& entry) {
    field::SheetPlan corners;
    corners.excitation = corners.sections = corners.channels = false;
    corners.input_output = corners.insulation = corners.empty_signals = corners.loaded_signals = false;
    const field::SimulatedSheet weights = field::simulate_sheet(d, {&fault, 1}, 1, corners, exact());
    const diagnosis::Priors priors = diagnosis::default_priors(d);
    const field::DiagnosedSheet found = field::rank_causes(d, weights.sheet(), priors);
    entry.by_weights = probability_of(found, fault);
    Candidate truth;
    for (const Candidate& c : found.candidates) {
        if (field::same_cause_and_place(c, fault)) truth = c;
    }
    truth.fault = fault;
    for (std::size_t k = 0; k < truth.estimate.size(); ++k) {
        truth.estimate[k] = {fault.magnitude[k], fault.magnitude[k], fault.magnitude[k]};
    }
    for (const Candidate& c : found.candidates) {
        if (entry.like_it.size() == most_like_it || c.probability < looks_like_it) break;
        if (c.fault.cause == scale::Cause::unlisted || field::same_cause_and_place(c, fault)) continue;
        std::array about{truth, c};
        for (Candidate& each : about) each.probability = 0.5;
        Lookalike like{c, field::next_checks(d, weights.sheet(), about, {}, 1), {}, {}};
        if (!like.told_by.empty()) {
            like.here = read_with(d, truth, like.told_by.front().reading);
            like.there = read_with(d, best_fit(c), like.told_by.front().reading);
        }
        entry.like_it.push_back(std::move(like));
    }
}

}  // namespace

Fault example_of(const scale::Description& d, scale::Cause cause) {
    Fault first;
    first.cause = cause;
    first.site = scale::site_at(d, cause, 0);
    first.variant = scale::variant_at(d, cause, 0);
    const scale::Magnitudes magnitudes = scale::magnitudes_of(d, cause, first.site);
    const auto at = [&](double share) {
        Fault fault = first;
        for (std::size_t k = 0; k < static_cast<std::size_t>(magnitudes.count); ++k) {
            const scale::Magnitude& m = magnitudes.of[k];
            fault.magnitude[k] =
                to_two_figures(diagnosis::magnitude_at(m, share) / m.si_per_unit) * m.si_per_unit;
        }
        return fault;
    };
    if (magnitudes.count == 0) return first;
    for (const double share : example_shares) {
        if (field::largest_effect(d, at(share), 1, exact()) >= plain_to_see) return at(share);
    }
    return at(example_shares[0]);
}

AtlasEntry atlas_entry(const files::ScaleFile& scale, const files::Standard& standard, const Fault& fault) {
    const scale::Description& d = scale.description;
    AtlasEntry entry;
    entry.fault = fault;
    field::CornerTestSetting setting;
    setting.mass_kg = field::standard_test_kg(standard, d);
    setting.unrounded = true;
    const bool healthy = fault.cause == scale::Cause::healthy;
    const std::span<const Fault> faults =
        healthy ? std::span<const Fault>{} : std::span<const Fault>{&fault, 1};
    entry.test = field::test_corners(d, faults, standard, scale.accuracy_class, setting);
    double worst = -1.0;
    for (const field::TestResult& r : entry.test.supports) {
        const double error = r.has_value() ? std::fabs(r.exact_error_kg) : worst;
        if (error > worst) {
            worst = error;
            entry.worst_support = r.index;
        }
    }
    const scale::SiteKind kind = fault.site.kind;
    const bool at_one = kind == scale::SiteKind::cell || kind == scale::SiteKind::cell_pair ||
                        kind == scale::SiteKind::support;
    entry.near_support = at_one ? fault.site.index : entry.worst_support;
    fill_by_load(d, fault, entry);
    const field::SimulatedSheet with = field::simulate_sheet(d, faults, 1, {}, exact());
    const field::SimulatedSheet without = field::simulate_sheet(d, {}, 1, {}, exact());
    fill_signs(d, with, without, entry);
    fill_lookalikes(d, fault, entry);
    entry.in_time = over_time(d, fault, entry.near_support, entry.test.mass_kg);
    entry.by_all = probability_of(field::rank_causes(d, with.sheet(), diagnosis::default_priors(d)), fault);
    return entry;
}

}  // namespace cornerbench::training
