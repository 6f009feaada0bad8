#include "sim/field/open_question.h"

#include <algorithm>

#include "firmware/numbers/elementary.h"

namespace cornerbench::field {

using diagnosis::Candidate;

namespace {

constexpr std::size_t most_about = 16;
constexpr double worth_asking = 2.0e-3;
/// A variant with a smaller share of its cause is not asked after.
constexpr double worth_telling_apart = 0.05;

/// Where all causes on the list together have less, their shares are mere rounding.
constexpr double nothing_left = 1.0e-12;

double log_weight(const Candidate& c) {
    return c.log_evidence + numbers::log(c.prior);
}

/// A candidate once for each of its variants that is worth telling apart: which wire, which arm.
std::vector<Candidate> each_way(const scale::Description& d, const Candidate& c) {
    if (c.two_at_once()) return {c};
    std::vector<Candidate> ways;
    for (int v = 0; v < scale::variant_count(d, c.fault.cause); ++v) {
        const diagnosis::VariantShare& variant = c.variants[static_cast<std::size_t>(v)];
        if (variant.share < worth_telling_apart) continue;
        Candidate way = c;
        way.probability *= variant.share;
        if (!(scale::variant_at(d, c.fault.cause, v) == c.fault.variant)) {
            way.fault.variant = scale::variant_at(d, c.fault.cause, v);
            way.fault.magnitude = variant.magnitude;
            for (std::size_t k = 0; k < way.estimate.size(); ++k) {
                way.estimate[k] = {variant.magnitude[k], variant.magnitude[k], variant.magnitude[k]};
            }
        }
        ways.push_back(way);
    }
    if (ways.empty()) ways.push_back(c);
    return ways;
}

}  // namespace

std::vector<Candidate> open_question(const scale::Description& d, std::span<const Candidate> candidates) {
    double listed = 0.0;
    double best = -1.0e300;
    for (const Candidate& c : candidates) {
        if (c.fault.cause == scale::Cause::unlisted) continue;
        listed += c.probability;
        if (c.prior > 0.0) best = std::max(best, log_weight(c));
    }
    std::vector<Candidate> ranked(candidates.begin(), candidates.end());
    if (listed < nothing_left) {
        // Whatever is left of them beside what is on no list is rounding: weigh them by themselves.
        listed = 0.0;
        for (Candidate& c : ranked) {
            c.probability = c.prior > 0.0 ? numbers::exp(log_weight(c) - best) : 0.0;
            if (c.fault.cause != scale::Cause::unlisted) listed += c.probability;
        }
        std::stable_sort(ranked.begin(), ranked.end(), [](const Candidate& a, const Candidate& b) {
            return a.probability > b.probability;
        });
    }
    std::vector<Candidate> about;
    for (const Candidate& c : ranked) {
        if (c.fault.cause == scale::Cause::unlisted || !(c.probability > worth_asking * listed)) continue;
        for (const Candidate& way : each_way(d, c)) {
            if (about.size() < most_about) about.push_back(way);
        }
    }
    return about;
}

}  // namespace cornerbench::field
