#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "firmware/diagnosis/inspection.h"
#include "sim/field/cause_and_place.h"
#include "sim/field/check_values.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/field/open_question.h"
#include "sim/field/simulated_sheet.h"
#include "tests/diagnosis/bench_scales.h"

// Expected information by its definition (Shannon 1948, section 12): the mean fall of entropy, here over
// readings drawn from what the candidates predict, each diagnosed with the whole sheet anew.

using namespace cornerbench;
using diagnosis::Candidate;
using diagnosis::Quantity;
using diagnosis::Reading;
using scale::Cause;

namespace {

constexpr int draws = 40;

/// Entropy, in bits, of the classes of `about` in another diagnosis.
double doubt_after(const field::DiagnosedSheet& found, const std::vector<Candidate>& about,
                   const field::OpenClasses& classes) {
    std::vector<double> of_class(classes.class_share.size(), 0.0);
    for (const Candidate& c : found.candidates) {
        for (std::size_t k = 0; k < about.size(); ++k) {
            if (!field::same_cause_and_place(about[k], c)) continue;
            of_class[classes.of_class[k]] += c.probability;
            break;
        }
    }
    double sum = 0.0;
    for (const double p : of_class) sum += p;
    double bits = 0.0;
    for (const double p : of_class) bits -= p > 0.0 ? p / sum * std::log2(p / sum) : 0.0;
    return bits;
}

}  // namespace

TEST_CASE("What a check is expected to tell is what its readings tell on average", "[field][campaign]") {
    const scale::Description d = oracle::trimmed_scale(4);
    scale::Fault weak;
    weak.cause = Cause::weak_output;
    weak.site = {scale::SiteKind::cell, 1, 0};
    weak.magnitude[0] = 0.995;
    field::SheetPlan plan;
    plan.excitation = plan.sections = plan.input_output = plan.insulation = false;
    plan.empty_signals = plan.loaded_signals = false;
    for (const bool healthy : {true, false}) {
        const field::SimulatedSheet sheet =
            field::simulate_sheet(d, std::span(&weak, healthy ? 0 : 1), 7, plan);
        const diagnosis::Priors priors = diagnosis::default_priors(d);
        const field::DiagnosedSheet found = field::rank_causes(d, sheet.sheet(), priors);
        const std::vector<Candidate> about = field::open_question(d, found.candidates);
        const field::CheckValues values(d, sheet.sheet(), about, {}, {}, {});
        REQUIRE(values.good());
        const field::OpenClasses classes = field::classes_of(values.asked());
        field::Outlook outlook(d, sheet.sheet(), values.checks(), {});
        std::vector<field::Expected> expected;
        for (const Candidate& c : about) expected.push_back(outlook.expect(c));

        // What friction lets be read is taken for a normal, which it is not: between its two sizes a weight
        // tells less than is made of it.
        const bool friction = std::any_of(about.begin(), about.end(), [&](const Candidate& c) {
            return scale::magnitudes_of(d, c.fault.cause, c.fault.site).count == 2 && c.probability > 0.05;
        });
        // The best check of each kind.
        for (const Quantity kind : {Quantity::excitation, Quantity::signal, Quantity::resistance,
                                    Quantity::weight, Quantity::inspection}) {
            if (kind == Quantity::weight && friction) continue;
            std::size_t best = values.checks().size();
            double bits = 0.0;
            for (std::size_t i = 0; i < values.checks().size(); ++i) {
                if (values.checks()[i].reading.quantity != kind) continue;
                const double own = values.bits(i, values.now());
                if (best < values.checks().size() && own <= bits) continue;
                best = i;
                bits = own;
            }
            REQUIRE(best < values.checks().size());
            int open = -1;
            for (int o = 0; o < outlook.open_count(); ++o) {
                if (outlook.check_of(o) == static_cast<int>(best)) open = o;
            }
            std::mt19937_64 random(17);
            std::discrete_distribution<std::size_t> which(classes.share.begin(), classes.share.end());
            std::normal_distribution<double> normal;
            std::uniform_real_distribution<double> even;
            double sum = 0.0;
            double squares = 0.0;
            for (int n = 0; n < draws; ++n) {
                const std::size_t k = which(random);
                Reading r = values.checks()[best].reading;
                if (kind == Quantity::inspection) {
                    r.as_it_should_be = false;
                    const double wrong =
                        std::exp(diagnosis::log_inspection(r, about[k].fault, about[k].also));
                    r.as_it_should_be = even(random) >= wrong;
                } else {
                    const field::Expectation& e = expected[k].reading[static_cast<std::size_t>(open)];
                    const double y = e.mean + e.deviation * normal(random);
                    r.shown = e.shown;
                    r.value = kind == Quantity::resistance ? std::exp(y) : y;
                }
                std::vector<Reading> longer = sheet.readings;
                longer.push_back(r);
                const field::DiagnosedSheet then =
                    field::rank_causes(d, {longer, sheet.instruments, sheet.zeroed, sheet.history}, priors);
                const double fall = classes.doubt_bits() - doubt_after(then, about, classes);
                sum += fall;
                squares += fall * fall;
            }
            const double mean = sum / draws;
            const double scatter = std::sqrt(std::max(squares / draws - mean * mean, 0.0) / draws);
            INFO((healthy ? "healthy" : "weak") << ", quantity " << static_cast<int>(kind) << ": " << bits
                                                << " bits, by simulation " << mean << " +- " << scatter);
            CHECK(std::fabs(bits - mean) < 4.0 * scatter + 0.02);
        }
    }
}
