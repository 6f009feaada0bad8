#include "sim/field/fault_draw.h"

namespace cornerbench::field {

namespace {

double draw_magnitude(const scale::Magnitude& m, RandomSource& random) {
    if (m.spread == scale::Spread::uniform) return random.between(m.low, m.high);
    return numbers::exp(random.between(numbers::log(m.low), numbers::log(m.high)));
}

scale::Variant draw_variant(const scale::Description& d, scale::Cause cause, RandomSource& random) {
    const int last = scale::variant_count(d, cause) - 1;
    double left = random.share();
    int drawn = 0;
    while (drawn < last && (left -= scale::variant_prior(d, cause, drawn)) > 0.0) ++drawn;
    return scale::variant_at(d, cause, drawn);
}

}  // namespace

scale::Fault draw_fault_of(const scale::Description& description, scale::Cause cause, RandomSource& random) {
    scale::Fault fault;
    fault.cause = cause;
    fault.site = scale::site_at(description, cause, random.index(scale::site_count(description, cause)));
    fault.variant = draw_variant(description, cause, random);
    const scale::Magnitudes magnitudes = scale::magnitudes_of(description, cause, fault.site);
    for (unsigned i = 0; i < static_cast<unsigned>(magnitudes.count); ++i) {
        fault.magnitude[i] = draw_magnitude(magnitudes.of[i], random);
    }
    return fault;
}

scale::Fault draw_fault(const scale::Description& description, std::span<const double> weights,
                        RandomSource& random) {
    double sum = 0.0;
    for (int i = 0; i < scale::cause_count; ++i) {
        if (scale::possible(description, static_cast<scale::Cause>(i)))
            sum += weights[static_cast<unsigned>(i)];
    }
    double left = random.share() * sum;
    scale::Cause drawn = scale::Cause::healthy;
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<scale::Cause>(i);
        const double weight = weights[static_cast<unsigned>(i)];
        if (!scale::possible(description, cause) || weight <= 0.0) continue;
        drawn = cause;
        left -= weight;
        if (left <= 0.0) break;
    }
    return draw_fault_of(description, drawn, random);
}

}  // namespace cornerbench::field
