#include "sim/field/open_question.h"

namespace cornerbench::field {

using diagnosis::Candidate;

namespace {

constexpr std::size_t most_about = 16;
constexpr double worth_asking = 2.0e-3;
/// A variant with a smaller share of its cause is not asked after.
constexpr double worth_telling_apart = 0.05;

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
    std::vector<Candidate> about;
    for (const Candidate& c : candidates) {
        if (c.fault.cause == scale::Cause::unlisted || c.probability < worth_asking) continue;
        for (const Candidate& way : each_way(d, c)) {
            if (about.size() < most_about) about.push_back(way);
        }
    }
    return about;
}

}  // namespace cornerbench::field
