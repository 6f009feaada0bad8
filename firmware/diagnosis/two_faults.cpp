#include "firmware/diagnosis/two_faults.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "firmware/diagnosis/candidates.h"
#include "firmware/diagnosis/pair_fit.h"
#include "firmware/diagnosis/sheet_bench.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

using scale::Cause;
using scale::Fault;

namespace {

/// Standard deviations of a sum of squares above its mean that one cause cannot be said to explain: chance
/// does that a few times in a thousand.
constexpr double doubtful_fit = 3.0;
/// Single causes that are held while all others are tried beside them.
constexpr int anchors = 8;
/// Of one place; the readings often cannot tell several causes there apart.
constexpr int anchors_at_a_place = 2;
/// What is fitted together with it of all that was tried beside one fault, and what is looked at closer.
constexpr int fitted = 24;
constexpr int partners = 8;
/// Times that the partners of a best pair are looked for anew.
constexpr int rescans = 3;
constexpr int refinements = 4;
/// A refinement that gains less log density than this was the last.
constexpr double hardly_better = 0.05;
/// Partners whose first look ends this far below the best are left alone.
constexpr double out_of_reach = 12.0;
/// The first look gives up only this far below the best so far.
constexpr double hopeless = 300.0;
/// Pairs below this probability are not worth a line.
constexpr double least_probability = 1.0e-4;
constexpr double nothing = -1.0e300;

bool is_fault(Cause cause) {
    return cause != Cause::healthy && cause != Cause::unlisted;
}

/// A sum of squares of as many normals as rows (mean n, variance 2 n) may be so large.
bool fits(double misfit, int rows) {
    return misfit < rows + doubtful_fit * std::sqrt(2.0 * rows);
}

bool same_place(const Fault& a, const Fault& b) {
    return a.cause == b.cause && a.site == b.site;
}

bool same_variant(const Fault& a, const Fault& b) {
    return same_place(a, b) && a.variant == b.variant;
}

/// One way in which something can be wrong: a cause at a place in one of its variants.
struct Way {
    Fault fault;
    double log_prior = 0.0;
};

struct Partner {
    Way held;
    Way way;
    double log_density = nothing;  ///< together, as far as it is known

    double log_weight() const { return log_density + way.log_prior; }
};

struct Pair {
    Way a;
    Way b;
    std::array<Estimate, scale::max_magnitudes> a_estimate{};
    std::array<Estimate, scale::max_magnitudes> b_estimate{};
    double best_log_density = nothing;
    double log_evidence = nothing;

    double log_weight() const { return log_evidence + a.log_prior + b.log_prior; }
    bool is(const Fault& x, const Fault& y) const {
        return (same_variant(a.fault, x) && same_variant(b.fault, y)) ||
               (same_variant(a.fault, y) && same_variant(b.fault, x));
    }
};

/// Puts `one` where its weight belongs among the `best`, heaviest first; the lightest falls off.
template <typename T>
void insert(std::span<T> best, const T& one) {
    std::size_t at = best.size();
    while (at > 0 && one.log_weight() > best[at - 1].log_weight()) --at;
    if (at == best.size()) return;
    for (std::size_t i = best.size() - 1; i > at; --i) best[i] = best[i - 1];
    best[at] = one;
}

/// One search on one set of readings.
class PairSearch {
  public:
    PairSearch(numbers::Arena& arena, const scale::Description& d, SheetBench& bench,
               std::span<const Candidate> singles, const Scatter& scatter)
        : d_(d),
          evidence_(*bench.evidence),
          fit_(arena, d, *bench.evidence, *bench.predictor, *bench.likelihood),
          singles_(singles),
          rows_(bench.rows.measured) {
        double faults = 0.0;
        for (const Candidate& c : singles) faults += is_fault(c.fault.cause) ? c.prior : 0.0;
        // Two of one list in any order: q_a q_b twice, of all that is wrong.
        log_pair_ = numbers::log(2.0 * scatter.second_fault / (faults > 0.0 ? faults : 1.0));
    }

    void run() {
        std::array<Way, anchors> held{};
        const int count = choose_anchors(held);
        for (int i = 0; i < count && !explained(); ++i) scan(held[i]);
        for (int i = 0; i < rescans && found_ > 0; ++i) {
            const Pair best = pairs_[0];
            scan(best.a);
            scan(best.b);
            if (pairs_[0].is(best.a.fault, best.b.fault)) break;
        }
        evidence_.hold(Fault{});
    }

    std::span<const Pair> pairs() const { return std::span(pairs_).first(found_); }
    double log_pair() const { return log_pair_; }

  private:
    /// True when the best pair leaves no more than chance lets expect.
    bool explained() {
        if (found_ == 0) return false;
        evidence_.hold(pairs_[0].b.fault);
        return fits(-2.0 * evidence_.log_fit(pairs_[0].a.fault), rows_);
    }

    /// The single causes that explain most, not many of one place.
    int choose_anchors(std::array<Way, anchors>& held) const {
        std::array<bool, max_listed> used{};
        int count = 0;
        const int n = std::min<int>(static_cast<int>(singles_.size()), max_listed);
        while (count < anchors) {
            int best = -1;
            for (int i = 0; i < n; ++i) {
                const Candidate& c = singles_[i];
                if (used[i] || !is_fault(c.fault.cause) || !(c.prior > 0.0)) continue;
                if (best < 0 || c.best_log_density > singles_[best].best_log_density) best = i;
            }
            if (best < 0) break;
            used[best] = true;
            const Fault& fault = singles_[best].fault;
            int here = 0;
            for (int k = 0; k < count; ++k) here += held[k].fault.site == fault.site ? 1 : 0;
            if (here < anchors_at_a_place) held[count++] = way_of(singles_[best], fault.variant);
        }
        return count;
    }

    Way way_of(const Candidate& c, const scale::Variant& variant) const {
        const int variants = scale::variant_count(d_, c.fault.cause);
        Way way{c.fault, nothing};
        way.fault.variant = variant;
        for (int v = 0; v < variants; ++v) {
            if (!(scale::variant_at(d_, c.fault.cause, v) == variant)) continue;
            way.log_prior = numbers::log(c.prior * scale::variant_prior(d_, c.fault.cause, v));
        }
        return way;
    }

    /// Tries everything beside `held`, fits together what comes nearest, and refines the best of that.
    void scan(const Way& held) {
        std::array<Partner, fitted> near{};
        evidence_.hold(held.fault);
        double leading = found_ > 0 ? pairs_[0].best_log_density : nothing;
        for (const Candidate& c : singles_) {
            if (!is_fault(c.fault.cause) || !(c.prior > 0.0) || same_place(c.fault, held.fault)) continue;
            for (int v = 0; v < scale::variant_count(d_, c.fault.cause); ++v) {
                Partner partner{held, way_of(c, scale::variant_at(d_, c.fault.cause, v))};
                const Evidence glanced = evidence_.glance(partner.way.fault, leading, hopeless);
                partner.way.fault = glanced.best;
                leading = std::max(leading, glanced.best_log_density);
                partner.log_density = glanced.best_log_density;
                insert(std::span<Partner>(near), partner);
            }
        }
        std::array<Partner, partners> best{};
        for (Partner& p : near) {
            if (p.log_density <= nothing) break;
            p.log_density = fit_.climb(p.held.fault, p.way.fault);
            insert(std::span<Partner>(best), p);
        }
        for (const Partner& p : best) {
            if (p.log_density <= nothing || p.log_weight() < best[0].log_weight() - out_of_reach) break;
            if (!known(p.held.fault, p.way.fault)) refine(p);
        }
    }

    bool known(const Fault& x, const Fault& y) const {
        for (const Pair& p : pairs()) {
            if (p.is(x, y)) return true;
        }
        return false;
    }

    /// Evidence of `way` beside `held`, over its whole range.
    Evidence over(const Way& way, const Fault& held) {
        evidence_.hold(held);
        const Evidence glanced = evidence_.glance(way.fault, nothing, hopeless);
        if (scale::magnitudes_of(d_, way.fault.cause, way.fault.site).count == 0) return glanced;
        return evidence_.weigh(glanced, nothing, nothing);
    }

    /// Each at its best beside the other in turn. Of both evidences together the best density counts twice.
    void refine(const Partner& partner) {
        Pair pair{partner.held, partner.way, {}, {}, nothing, nothing};
        Evidence of_a;
        Evidence of_b;
        for (int i = 0; i < refinements; ++i) {
            of_b = over(pair.b, pair.a.fault);
            pair.b.fault = of_b.best;
            of_a = over(pair.a, pair.b.fault);
            pair.a.fault = of_a.best;
            const bool settled = of_a.best_log_density < pair.best_log_density + hardly_better;
            pair.best_log_density = std::max(pair.best_log_density, of_a.best_log_density);
            if (settled) break;
        }
        of_b = over(pair.b, pair.a.fault);
        pair.b.fault = of_b.best;
        const double best = std::max(of_a.best_log_density, of_b.best_log_density);
        pair.best_log_density = best;
        pair.log_evidence = std::min(of_a.log_evidence - best, 0.0) +
                            std::min(of_b.log_evidence - best, 0.0) + best +
                            fit_.coupling(pair.a.fault, pair.b.fault);
        pair.a_estimate = of_a.estimate;
        pair.b_estimate = of_b.estimate;
        insert(std::span<Pair>(pairs_), pair);
        found_ = std::min(found_ + 1, max_pairs);
    }

    static constexpr int max_listed = 512;

    const scale::Description& d_;
    EvidenceIntegral& evidence_;
    PairFit fit_;
    std::span<const Candidate> singles_;
    double log_pair_ = 0.0;
    int rows_ = 0;
    std::array<Pair, max_pairs> pairs_{};
    int found_ = 0;
};

/// Log density that `fault` reached by itself.
double alone(std::span<const Candidate> singles, const Fault& fault) {
    for (const Candidate& c : singles) {
        if (same_place(c.fault, fault)) return c.best_log_density;
    }
    return nothing;
}

/// The one that explains more by itself comes first.
Candidate as_candidate(const Pair& pair, double log_pair, std::span<const Candidate> singles) {
    Candidate c;
    c.fault = pair.a.fault;
    c.estimate = pair.a_estimate;
    c.also = pair.b.fault;
    c.also_estimate = pair.b_estimate;
    if (alone(singles, c.also) > alone(singles, c.fault)) {
        std::swap(c.fault, c.also);
        std::swap(c.estimate, c.also_estimate);
    }
    c.prior = numbers::exp(pair.a.log_prior + pair.b.log_prior + log_pair);
    c.log_evidence = pair.log_evidence;
    c.best_log_density = pair.best_log_density;
    return c;
}

/// Whichever of both comes first: two may explain equally much by themselves.
bool same_pair(const Candidate& a, const Candidate& b) {
    return (same_place(a.fault, b.fault) && same_place(a.also, b.also)) ||
           (same_place(a.fault, b.also) && same_place(a.also, b.fault));
}

/// A search's pairs, with the logarithms of their weights in `log_weight`; variants of one pair together.
int merged(const PairSearch& search, std::span<const Candidate> singles, std::span<Candidate> out,
           std::span<double> log_weight) {
    int count = 0;
    for (const Pair& pair : search.pairs()) {
        const Candidate c = as_candidate(pair, search.log_pair(), singles);
        const double weight = pair.log_weight() + search.log_pair();
        int same = 0;
        while (same < count && !same_pair(out[same], c)) ++same;
        if (same < count) {
            log_weight[same] = numbers::log_sum(log_weight[same], weight);
            out[same].prior += c.prior;
        } else if (count < static_cast<int>(out.size())) {
            out[count] = c;
            log_weight[count++] = weight;
        }
    }
    return count;
}

double sum_of(std::span<const double> log_weight) {
    double sum = nothing;
    for (const double w : log_weight) sum = numbers::log_sum(sum, w);
    return sum;
}

/// Looks on the readings that are not `ignored`. Returns how many pairs it found.
int look(std::span<double> memory, const scale::Description& d, const Sheet& sheet, const Scatter& scatter,
         const Ignored& ignored, std::span<const Candidate> singles, std::span<Candidate> out,
         std::span<double> log_weight) {
    numbers::Arena arena(memory);
    SheetBench* bench = set_up_bench(arena, d, sheet, scatter, ignored);
    if (bench == nullptr || !bench->predictor->prepare() || !bench->likelihood->prepare()) return 0;
    PairSearch* search = arena.make<PairSearch>(arena, d, *bench, singles, scatter);
    if (search == nullptr || arena.exhausted()) return 0;
    search->run();
    return merged(*search, singles, out, log_weight);
}

}  // namespace

std::size_t pairing_doubles(int rows) {
    return sizeof(PairSearch) / sizeof(double) + 1 + static_cast<std::size_t>(PairFit::doubles(rows));
}

bool worth_pairing(const Outcome& outcome, std::span<const Candidate> singles) {
    if (outcome.error != DiagnosisError::none || singles.empty()) return false;
    return outcome.wild_count > 0 || !fits(outcome.misfit, outcome.measured) ||
           singles[0].fault.cause == Cause::unlisted;
}

int diagnose_pairs(const scale::Description& d, const Sheet& sheet, Outcome& outcome,
                   std::span<double> memory, std::span<Candidate> singles, std::span<Candidate> pairs,
                   const Scatter& scatter) {
    if (!worth_pairing(outcome, singles)) return 0;
    const std::span<Candidate> room = pairs.first(std::min<std::size_t>(pairs.size(), max_pairs));
    std::array<double, max_pairs> log_weight{};
    const std::span<const WildReading> wild = std::span(outcome.wild).first(outcome.wild_count);
    const auto search = [&](const Ignored& ignored) {
        return look(memory, d, sheet, scatter, ignored, singles, room, log_weight);
    };
    const auto weights = [&](int count) { return std::span(log_weight).first(count); };
    int count = 0;
    if (!wild.empty()) {
        // Two causes may explain what one could not but for a reading set aside.
        count = search(Ignored{});
        if (sum_of(weights(count)) > outcome.log_evidence) {
            outcome.wild_count = 0;
        } else {
            count = 0;
        }
    }
    if (count == 0 &&
        (!fits(outcome.misfit, outcome.measured) || singles[0].fault.cause == Cause::unlisted)) {
        count = search(without(wild));
        for (double& w : weights(count)) w += outcome.log_wild;
    }
    if (count == 0) return 0;
    const double total = numbers::log_sum(outcome.log_evidence, sum_of(weights(count)));
    const double of_singles = numbers::exp(outcome.log_evidence - total);
    for (Candidate& c : singles) c.probability *= of_singles;
    for (int i = 0; i < count; ++i) room[i].probability = numbers::exp(log_weight[i] - total);
    sort_candidates(room.first(count));
    if (room[0].probability > singles[0].probability) {
        const Candidate& best = room[0];
        outcome.misfit = misfit_of(d, sheet, best.fault, std::span(outcome.wild).first(outcome.wild_count),
                                   memory, scatter, best.also);
    }
    while (count > 0 && room[count - 1].probability < least_probability) --count;
    outcome.log_evidence = total;
    return count;
}

}  // namespace cornerbench::diagnosis
