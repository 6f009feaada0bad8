#include "firmware/diagnosis/diagnose.h"

#include <cmath>

#include "firmware/diagnosis/candidates.h"
#include "firmware/diagnosis/sheet_bench.h"
#include "firmware/numbers/dense.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

using scale::Cause;

namespace {

constexpr double impossible = -1.0e12;
/// Faults this far below the best, in log density, get no second look.
constexpr double out_of_reach = 18.0;
/// The first look, linearised elsewhere, gives up only this far below the best so far.
constexpr double hopeless = 300.0;
/// What a second look could add or take is nothing where it is this small a share of the leading cause's
/// weight.
constexpr double slight_share = 2.0e-3;
/// Two magnitudes this far below the best, in log evidence and prior, need not be gone over finely.
constexpr double minor = 4.0;
/// A first look that leaves no more doubt than this about its log evidence tells who leads.
constexpr double sure = 0.2;
/// Candidates at whose best fit a single reading is asked whether it stands alone.
constexpr int asked_candidates = 4;
/// What an unknown magnitude usually costs against its best fit, in log evidence.
constexpr double usual_occam = 3.0;
/// Readings that may be dropped on trial in one round.
constexpr int dropped_on_trial = 3;
/// Sizes at which a cause is asked for wild values when no cause fits.
constexpr int sizes_asked = 8;

/// What the first looks at all candidates found.
struct Leader {
    double log_density = -1.0e300;
    double log_weight = -1.0e300;  ///< log evidence and log prior together

    /// What a log evidence may be off by, for a cause of that prior, before it counts beside the leader.
    double log_slight(double log_prior) const { return log_weight - log_prior + numbers::log(slight_share); }
};

double log_prior(const Candidate& c) {
    return c.prior > 0.0 ? numbers::log(c.prior) : -1.0e200;
}

void weigh_candidate(const scale::Description& d, SheetBench& bench, std::span<const double> bounds,
                     const Leader& leader, std::span<const Evidence> glances, Candidate& c) {
    const double worth = leader.log_density - out_of_reach;
    const double enough_below = leader.log_weight - minor - log_prior(c);
    const double slight = leader.log_slight(log_prior(c));
    const int variants = scale::variant_count(d, c.fault.cause);
    double sum = -1.0e300;
    double best = -1.0e300;
    std::array<double, max_variants> of_variant{};
    for (int v = 0; v < variants; ++v) {
        Evidence e = glances[v];
        scale::Fault fault = c.fault;
        fault.variant = scale::variant_at(d, fault.cause, v);
        const bool open = scale::magnitudes_of(d, fault.cause, fault.site).count > 0;
        if (open && bounds[v] > worth && log_open(e) > slight)
            e = bench.evidence->weigh(e, worth, enough_below);
        of_variant[v] = e.log_evidence + numbers::log(scale::variant_prior(d, fault.cause, v));
        sum = numbers::log_sum(sum, of_variant[v]);
        c.variants[v].magnitude = e.best.magnitude;
        if (of_variant[v] > best || v == 0) {
            best = of_variant[v];
            c.best_log_density = e.best_log_density;
            c.estimate = e.estimate;
            fault.magnitude = e.best.magnitude;
            c.fault = fault;
        }
    }
    for (int v = 0; v < variants; ++v) c.variants[v].share = numbers::exp(of_variant[v] - sum);
    c.log_evidence = sum;
}

/// Evidence of every candidate. Returns the logarithm of the whole sheet's.
double weigh_all(numbers::Arena arena, const scale::Description& d, SheetBench& bench,
                 std::span<Candidate> candidates) {
    const int n = static_cast<int>(candidates.size());
    const std::span<Evidence> glances = arena.take<Evidence>(n * max_variants);
    const std::span<double> bounds = arena.take(n * max_variants);
    if (arena.exhausted()) return impossible;
    Leader leader;
    // How well the sound scale explains the sheet decides how the others are looked at.
    leader.log_density =
        bench.evidence->glance(scale::Fault{}, leader.log_density, hopeless).best_log_density;
    for (int i = 0; i < n; ++i) {
        Candidate& c = candidates[i];
        if (c.fault.cause == Cause::unlisted) {
            c.log_evidence = c.best_log_density = bench.evidence->log_unlisted();
            continue;
        }
        for (int v = 0; v < scale::variant_count(d, c.fault.cause); ++v) {
            scale::Fault fault = c.fault;
            fault.variant = scale::variant_at(d, fault.cause, v);
            const int at = i * max_variants + v;
            glances[at] = bench.evidence->glance(fault, leader.log_density, hopeless);
            const Evidence& e = glances[at];
            bounds[at] = e.bound;
            if (e.best_log_density > leader.log_density) leader.log_density = e.best_log_density;
            const double log_weight = e.log_evidence + log_prior(c);
            if (e.doubt < sure && log_weight > leader.log_weight) leader.log_weight = log_weight;
        }
    }
    double sum = -1.0e300;
    for (int i = 0; i < n; ++i) {
        Candidate& c = candidates[i];
        if (c.fault.cause != Cause::unlisted) {
            weigh_candidate(d, bench, bounds.subspan(i * max_variants, max_variants), leader,
                            glances.subspan(i * max_variants, max_variants), c);
        }
        if (c.prior > 0.0) sum = numbers::log_sum(sum, c.log_evidence + numbers::log(c.prior));
    }
    double total = 0.0;
    for (Candidate& c : candidates) {
        c.probability = c.prior > 0.0 ? c.prior * numbers::exp(c.log_evidence - sum) : 0.0;
        total += c.probability;
    }
    // The last rounding: no probability may be above 1.
    for (Candidate& c : candidates) c.probability /= total;
    return sum;
}

/// Density of a plainly wrong value: anywhere in what the instrument can show.
double wild_density(const Row& row, const Sheet& sheet, const scale::Description& d) {
    const double signal = 6.0 * d.cells[0].rated_output_V_per_V;
    switch (row.kind) {
        case RowKind::weight:
            return 1.0 / (2.0 * d.max_kg);
        case RowKind::bus_signal:
        case RowKind::lifted_signal:
            return 1.0 / (sheet.readings[row.reading].is_ratio ? signal : signal * d.excitation_V);
        case RowKind::channel:
            return 1.0 / signal;
        case RowKind::excitation:
            return 1.0 / (2.0 * d.excitation_V);
        case RowKind::resistance:
            return 0.1;
    }
    return 1.0;
}

struct Suspect {
    int reading = -1;
    double log_odds = -1.0e300;  ///< of being wild, at the candidate that accuses it most
    double log_prior = 0.0;      ///< of a wild value here, with its density
    double standardised = 0.0;
};

/// Readings that stand alone at the best fit of a leading candidate, most suspicious first.
int find_suspects(numbers::Arena arena, const scale::Description& d, const Sheet& sheet, SheetBench& bench,
                  const Scatter& scatter, std::span<const Candidate> candidates, std::span<Suspect> out) {
    const int rows = bench.likelihood->rows();
    const std::span<double> alone = arena.take(rows);
    const std::span<double> gain = arena.take(rows);
    const std::span<Suspect> all = arena.take<Suspect>(rows);
    if (arena.exhausted() || rows < 3) return 0;
    const double best = candidates[0].log_evidence + numbers::log(candidates[0].prior);
    // A cause that has fitted the wild value, too, fits nothing: then rows are tried on mere suspicion.
    const bool nothing_fits = candidates[0].fault.cause == Cause::unlisted;
    bool any = nothing_fits;
    // Without its wild value a cause must at least match the best with it.
    const auto ask = [&](const Candidate& c, const scale::Fault& fault) {
        const double ahead = bench.evidence->log_density(fault) - usual_occam + numbers::log(c.prior) - best;
        bench.likelihood->leave_one_out(alone, gain);
        for (int i = 0; i < rows; ++i) {
            const Row& row = bench.likelihood->row(i);
            const double log_prior =
                numbers::log(scatter.wild / rows) + numbers::log(wild_density(row, sheet, d));
            const double log_odds = ahead + gain[i] + log_prior;
            if (log_odds > all[i].log_odds) all[i] = {row.reading, log_odds, log_prior, alone[i]};
            any = any || log_odds > 0.0;
        }
    };
    int asked = 0;
    for (const Candidate& c : candidates) {
        if (c.fault.cause == Cause::unlisted || !(c.prior > 0.0)) continue;
        // A wild value may have thrown the true cause far behind: with the first doubt all are asked.
        if (asked++ == asked_candidates && !any) break;
        ask(c, c.fault);
        // Its best fit has given way to the wild value: it may be right at another size.
        const scale::Magnitudes m = scale::magnitudes_of(d, c.fault.cause, c.fault.site);
        if (!nothing_fits || m.count == 0) continue;
        for (int i = 0; i < sizes_asked; ++i) {
            scale::Fault other = c.fault;
            other.magnitude[0] = magnitude_at(m.of[0], (0.5 + i) / sizes_asked);
            ask(c, other);
        }
    }
    int count = 0;
    while (count < static_cast<int>(out.size())) {
        int most = -1;
        for (int i = 0; i < rows; ++i) {
            if (all[i].reading >= 0 && (most < 0 || all[i].log_odds > all[most].log_odds)) most = i;
        }
        if (most < 0 || (all[most].log_odds < 0.0 && !nothing_fits)) break;
        out[count++] = all[most];
        all[most].reading = -1;
    }
    return count;
}

struct Pass {
    double log_evidence = impossible;
    bool good = false;
};

Pass run(numbers::Arena arena, const scale::Description& d, const Sheet& sheet, const Scatter& scatter,
         const Ignored& ignored, std::span<Candidate> candidates, std::span<Suspect> suspects,
         int* suspect_count, Outcome* outcome) {
    SheetBench* bench = set_up_bench(arena, d, sheet, scatter, ignored);
    if (bench == nullptr) return {};
    if (!bench->predictor->prepare()) {
        if (outcome != nullptr) outcome->error = DiagnosisError::deck;
        return {};
    }
    if (!bench->likelihood->prepare()) {
        if (outcome != nullptr) outcome->error = DiagnosisError::not_positive;
        return {};
    }
    const double log_evidence = weigh_all(arena, d, *bench, candidates);
    sort_candidates(candidates);
    if (suspect_count != nullptr) {
        *suspect_count = find_suspects(arena, d, sheet, *bench, scatter, candidates, suspects);
    }
    if (outcome != nullptr) {
        numbers::Arena rest = arena;
        outcome->groups =
            group_candidates(rest, *bench->evidence, *bench->predictor, *bench->likelihood, candidates);
        outcome->measured = bench->likelihood->rows();
        const Candidate* best = nullptr;
        for (const Candidate& c : candidates) {
            if (c.fault.cause != Cause::unlisted && best == nullptr) best = &c;
        }
        numbers::Arena table = arena;
        const std::span<double> residual = table.take(outcome->measured);
        const std::span<double> factor = table.take(outcome->measured * outcome->measured);
        if (best != nullptr && !table.exhausted()) {
            bench->evidence->log_density(best->fault);
            bench->likelihood->covariance(factor);
            for (int i = 0; i < outcome->measured; ++i) {
                const Row& row = bench->likelihood->row(i);
                residual[i] = row.value - bench->predictor->mean(row);
            }
            if (numbers::cholesky(factor, outcome->measured)) {
                numbers::forward_substitute(factor, outcome->measured, residual);
            }
            for (const double x : residual) outcome->misfit += x * x;
        }
    }
    return {log_evidence, true};
}

}  // namespace

Outcome diagnose(const scale::Description& d, const Sheet& sheet, const Priors& priors,
                 std::span<double> memory, std::span<Candidate> candidates, const Scatter& scatter) {
    Outcome outcome;
    if (sheet.readings.size() > max_readings) {
        outcome.error = DiagnosisError::too_many;
        return outcome;
    }
    numbers::Arena arena(memory);
    const int n = candidate_count(d);
    const std::span<Candidate> trial = arena.take<Candidate>(n);
    if (arena.exhausted() || static_cast<int>(candidates.size()) < n) {
        outcome.error = DiagnosisError::memory;
        return outcome;
    }
    const std::span<Candidate> kept = candidates.first(n);
    outcome.candidates = list_candidates(d, priors, kept);

    Ignored ignored{};
    std::array<Suspect, dropped_on_trial> suspects{};
    int suspect_count = 0;
    const auto failed = [&] {
        if (outcome.error == DiagnosisError::none) outcome.error = DiagnosisError::memory;
        return outcome;
    };
    Pass base = run(arena, d, sheet, scatter, ignored, kept, suspects, &suspect_count, &outcome);
    if (!base.good) return failed();

    // A value that stands alone is dropped on trial; the sheet without it speaks for itself.
    while (suspect_count > 0 && outcome.wild_count < max_wild) {
        int chosen = -1;
        double best = base.log_evidence;
        for (int s = 0; s < suspect_count; ++s) {
            Ignored fewer = ignored;
            fewer[suspects[s].reading] = true;
            list_candidates(d, priors, trial);
            const Pass pass = run(arena, d, sheet, scatter, fewer, trial, {}, nullptr, nullptr);
            const double with_wild = pass.log_evidence + outcome.log_wild + suspects[s].log_prior;
            if (pass.good && with_wild > best) {
                best = with_wild;
                chosen = s;
            }
        }
        if (chosen < 0) break;
        const Suspect wild = suspects[chosen];
        outcome.wild[outcome.wild_count++] = {
            wild.reading, 1.0 / (1.0 + numbers::exp(base.log_evidence - best)), wild.standardised};
        outcome.log_wild += wild.log_prior;
        ignored[wild.reading] = true;
        list_candidates(d, priors, kept);
        outcome.misfit = 0.0;
        base = run(arena, d, sheet, scatter, ignored, kept, suspects, &suspect_count, &outcome);
        if (!base.good) return failed();
        base.log_evidence = best;
    }
    outcome.log_evidence = base.log_evidence;
    return outcome;
}

}  // namespace cornerbench::diagnosis
