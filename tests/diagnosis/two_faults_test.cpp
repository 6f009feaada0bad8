#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <memory>
#include <vector>

#include "firmware/diagnosis/inspection.h"
#include "firmware/diagnosis/sheet_bench.h"
#include "firmware/numbers/elementary.h"
#include "sim/field/fault_draw.h"
#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/ranking.h"

// Two causes at once: found where no single one explains the readings, and nowhere else. The sheets come from
// the simulator, which knows nothing of the diagnosis.

using namespace cornerbench;
using oracle::fault_at;
using oracle::rank_with_pairs;
using oracle::Ranking;
using oracle::wire_fault;
using scale::Cause;
using scale::Fault;
using scale::Wire;

namespace {

struct Two {
    const char* what;
    Fault a;
    Fault b;
};

Fault swapped(int one, int other) {
    Fault fault = fault_at(Cause::swapped_cells);
    fault.site = {scale::SiteKind::cell_pair, one, other};
    return fault;
}

std::vector<Two> pairs_of_all_kinds() {
    return {
        {"two cells' networks", wire_fault(Cause::loose_terminal, 2, Wire::signal_plus, 40.0),
         fault_at(Cause::shifted_zero, 1, 3.0e-4)},
        {"one cell twice", fault_at(Cause::damaged_arm, 1, 5.0), fault_at(Cause::weak_output, 1, 0.6)},
        {"a network and the deck", wire_fault(Cause::loose_terminal, 2, Wire::signal_plus, 40.0),
         fault_at(Cause::bound_support, 3, 0.3)},
        {"the deck twice", fault_at(Cause::rubbing, 0, 2.0e7, 3.0e4),
         fault_at(Cause::settled_footing, 2, 8.0e-3)},
        {"two contacts", fault_at(Cause::rubbing, 0, 2.0e7, 3.0e4),
         fault_at(Cause::rubbing, 3, 4.0e7, 5.0e4)},
        {"the supply and a network", fault_at(Cause::excitation_low, 0, 6.0),
         fault_at(Cause::damaged_arm, 1, 5.0)},
        {"four networks", swapped(0, 1), swapped(2, 3)},
        {"exchanged cells, one of them weak", swapped(0, 2), fault_at(Cause::weak_output, 0, 0.7)},
        {"two replaced cells", fault_at(Cause::wrong_cell, 0, 1.5), fault_at(Cause::wrong_cell, 3, 0.6)},
        {"the supply and the deck", fault_at(Cause::excitation_low, 0, 6.0),
         fault_at(Cause::bound_support, 1, 0.4)},
    };
}

field::SimulatedSheet sheet_with(const scale::Description& d, const Two& two, bool exact,
                                 std::uint64_t seed) {
    field::SheetSetting setting;
    if (exact) {
        setting.noisy = false;
        setting.scatter = field::no_scatter;
    }
    const Fault both[] = {two.a, two.b};
    // Coming down is what tells a contact from a support that holds on to its load.
    field::SheetPlan plan;
    plan.decreasing = true;
    return field::simulate_sheet(d, both, seed, plan, setting);
}

/// A bench in memory of its own.
class Bench {
  public:
    /// `d` and `from` outlive this.
    Bench(const scale::Description& d, const field::SimulatedSheet& from)
        : sheet_(from.sheet()), memory_(diagnosis::diagnosis_doubles(d, sheet_)), arena_(memory_) {
        bench_ = diagnosis::set_up_bench(arena_, d, sheet_, scatter_, {});
        REQUIRE(bench_ != nullptr);
        REQUIRE(bench_->predictor->prepare());
        REQUIRE(bench_->likelihood->prepare());
    }
    diagnosis::SheetBench* operator->() { return bench_; }

  private:
    diagnosis::Scatter scatter_;
    diagnosis::Sheet sheet_;
    std::vector<double> memory_;
    numbers::Arena arena_;
    diagnosis::SheetBench* bench_ = nullptr;
};

}  // namespace

TEST_CASE("With one fault held and another set the predictions are those of a scale with both") {
    // The simulator reads a condition that has both, and knows nothing of held faults.
    for (const scale::Description& d : {oracle::trimmed_scale(4), oracle::per_cell_scale(4)}) {
        for (const Two& two : pairs_of_all_kinds()) {
            const field::SimulatedSheet both = sheet_with(d, two, true, 1);
            REQUIRE(both.error == mechanics::DeckError::none);
            Bench bench(d, both);
            for (const bool exchanged : {false, true}) {
                CAPTURE(two.what, exchanged);
                bench->predictor->hold(exchanged ? two.a : two.b);
                REQUIRE(bench->predictor->set(exchanged ? two.b : two.a));
                for (int i = 0; i < bench->rows.measured; ++i) {
                    const diagnosis::Row& row = bench->rows.row[static_cast<unsigned>(i)];
                    CAPTURE(row.reading, static_cast<int>(row.kind));
                    const double mean = bench->predictor->mean(row);
                    const double margin = row.kind == diagnosis::RowKind::weight ? 1.0e-5 : 1.0e-12;
                    CHECK(mean == Approx(row.value).epsilon(1.0e-6).margin(margin));
                }
            }
        }
    }
}

TEST_CASE("Held faults leave no trace once none is held") {
    const scale::Description d = oracle::trimmed_scale(4);
    const Two two = pairs_of_all_kinds()[3];
    const field::SimulatedSheet both = sheet_with(d, two, false, 4);
    Bench bench(d, both);
    const double before = bench->evidence->log_density(two.a);
    for (const Two& other : pairs_of_all_kinds()) {
        bench->evidence->hold(other.b);
        bench->evidence->log_density(other.a);
    }
    bench->evidence->hold(Fault{});
    CHECK(bench->evidence->log_density(two.a) == before);
}

TEST_CASE("The evidence of a pair is the integral over both magnitudes", "[long]") {
    // Brute force: the mean of the density over a grid even in both priors, fine where the readings decide.
    const scale::Description d = oracle::trimmed_scale(4);
    const Two cases[] = {
        {"far from each other", fault_at(Cause::shifted_zero, 1, 3.0e-4),
         fault_at(Cause::bound_support, 3, 0.3)},
        {"making up for each other", fault_at(Cause::excitation_low, 0, 6.0),
         fault_at(Cause::weak_output, 2, 0.7)},
    };
    for (const Two& two : cases) {
        const field::SimulatedSheet sheet = sheet_with(d, two, false, 7);
        Ranking r = rank_with_pairs(d, sheet.sheet());
        const int place = r.place_of_pair(two.a, two.b);
        CAPTURE(two.what);
        REQUIRE(place >= 0);
        const diagnosis::Candidate& found = r.pairs[static_cast<std::size_t>(place)];
        const bool first_is_a = oracle::same_cause_and_place(found.fault, two.a);
        const Fault& a = first_is_a ? found.fault : found.also;
        const Fault& b = first_is_a ? found.also : found.fault;
        const scale::Magnitude of_a = scale::magnitudes_of(d, a.cause, a.site).of[0];
        const scale::Magnitude of_b = scale::magnitudes_of(d, b.cause, b.site).of[0];
        Bench bench(d, sheet);
        const double u0 = diagnosis::share_below(of_a, a.magnitude[0]);
        const double v0 = diagnosis::share_below(of_b, b.magnitude[0]);
        constexpr int half = 60;
        double sum = -1.0e300;
        double width_u = 0.0;
        double width_v = 0.0;
        const auto density = [&](double u, double v) {
            Fault x = a;
            Fault y = b;
            x.magnitude[0] = diagnosis::magnitude_at(of_a, u);
            y.magnitude[0] = diagnosis::magnitude_at(of_b, v);
            bench->evidence->hold(y);
            return bench->evidence->log_density(x);
        };
        const double best = density(u0, v0);
        // As wide as the density reaches, along both.
        const auto reach = [&](auto at) {
            double width = 1.0e-4;
            while (width < 1.0 && (at(width) > best - 30.0 || at(-width) > best - 30.0)) width *= 1.3;
            return width;
        };
        width_u = 2.0 * reach([&](double w) { return density(std::clamp(u0 + w, 0.0, 1.0), v0); });
        width_v = 2.0 * reach([&](double w) { return density(u0, std::clamp(v0 + w, 0.0, 1.0)); });
        for (int i = -half; i <= half; ++i) {
            const double u = u0 + width_u * i / half;
            if (u < 0.0 || u > 1.0) continue;
            for (int j = -half; j <= half; ++j) {
                const double v = v0 + width_v * j / half;
                if (v < 0.0 || v > 1.0) continue;
                sum = numbers::log_sum(sum, density(u, v));
            }
        }
        const double log_evidence = sum + std::log(width_u / half) + std::log(width_v / half);
        CAPTURE(found.log_evidence, log_evidence, best, width_u, width_v);
        CHECK(std::fabs(found.log_evidence - log_evidence) < 0.3);
    }
}

TEST_CASE("Two clear faults at once are both named", "[long]") {
    // With others beside them where no reading tells these apart, such as a footing that sank from the one
    // across the deck.
    const scale::Description d = oracle::trimmed_scale(4);
    for (const Two& two : pairs_of_all_kinds()) {
        for (const std::uint64_t seed : {1, 2}) {
            const field::SimulatedSheet sheet = sheet_with(d, two, false, seed);
            const Ranking r = rank_with_pairs(d, sheet.sheet());
            const int place = r.place_of_pair(two.a, two.b);
            std::string pairs;
            for (const diagnosis::Candidate& c : r.pairs) {
                pairs += std::string(scale::name_of(c.fault.cause)) + "@" +
                         std::to_string(c.fault.site.index) + " with " + scale::name_of(c.also.cause) + "@" +
                         std::to_string(c.also.site.index) + " p " + std::to_string(c.probability) + "\n";
            }
            CAPTURE(two.what, seed, place, pairs, r.leaders(3));
            CHECK(r.pairs_probability() > 0.9);
            REQUIRE(place >= 0);
            CHECK(r.pairs[static_cast<std::size_t>(place)].probability > 0.2 * r.pairs[0].probability);
            CHECK(r.sum() == Approx(1.0).epsilon(1.0e-3));
        }
    }
}

TEST_CASE("A single fault or none is not taken for two", "[long]") {
    const scale::Description d = oracle::trimmed_scale(4);
    diagnosis::Priors weights = diagnosis::default_priors(d);
    weights[static_cast<unsigned>(scale::index_of(Cause::unlisted))] = 0.0;
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        field::RandomSource random(seed, 31);
        const Fault truth = field::draw_fault(d, weights, random);
        const Ranking r = rank_with_pairs(d, field::simulate_sheet(d, {&truth, 1}, seed).sheet());
        CAPTURE(seed, scale::name_of(truth.cause), r.leaders(3));
        CHECK(r.pairs_probability() < 0.5);
    }
}

TEST_CASE("A look shows each of two faults by itself") {
    // Chances that are independent: neither shows with the product of both chances not to.
    diagnosis::Reading look;
    look.quantity = diagnosis::Quantity::inspection;
    look.look = diagnosis::Look::terminals;
    look.cell = 1;
    look.as_it_should_be = true;
    const Fault loose = wire_fault(Cause::loose_terminal, 1, Wire::signal_plus, 40.0);
    const Fault wet = wire_fault(Cause::wet_leak, 1, Wire::signal_plus, 1.0e4, Wire::shield);
    const auto right = [&](const Fault& a, const Fault& b) {
        return std::exp(diagnosis::log_inspection(look, a, b));
    };
    const double by_chance = right(Fault{}, Fault{});
    CHECK(right(loose, Fault{}) == Approx(right(Fault{}, loose)));
    CHECK(right(loose, wet) * by_chance == Approx(right(loose, Fault{}) * right(wet, Fault{})));
    CHECK(right(loose, wet) < right(loose, Fault{}));
}

TEST_CASE("of two faults drawn at random most are found", "[diagnosis][campaign]") {
    // Our own aim, no source: where the search is worth its time, both causes at their places come among the
    // first three pairs at least seven times in ten.
    const scale::Description d = oracle::trimmed_scale(4);
    diagnosis::Priors weights = diagnosis::default_priors(d);
    weights[static_cast<unsigned>(scale::index_of(Cause::unlisted))] = 0.0;
    weights[static_cast<unsigned>(scale::index_of(Cause::healthy))] = 0.0;
    int searched = 0;
    int found = 0;
    for (std::uint64_t seed = 1; seed <= 200; ++seed) {
        field::RandomSource random(seed, 33);
        const Fault a = field::draw_fault(d, weights, random);
        const Fault b = field::draw_fault(d, weights, random);
        if (oracle::same_cause_and_place(a, b)) continue;
        const Ranking r = rank_with_pairs(d, sheet_with(d, {"", a, b}, false, seed).sheet());
        if (r.pairs.empty()) continue;
        ++searched;
        const int place = r.place_of_pair(a, b);
        found += place >= 0 && place < 3 ? 1 : 0;
    }
    CAPTURE(searched, found);
    CHECK(searched > 100);
    CHECK(found * 10 >= searched * 7);
}
