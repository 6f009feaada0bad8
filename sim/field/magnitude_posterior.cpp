#include "sim/field/magnitude_posterior.h"

#include <map>

#include "sim/field/log_curve.h"

namespace cornerbench::field {

using scale::Fault;
using scale::Magnitudes;

namespace {

constexpr LogCurve::Effort one_magnitude{};
/// Of two, over the first; and over the second, at each point of the first.
constexpr LogCurve::Effort outer{25, 1.0 / 40.0, 300};
constexpr LogCurve::Effort inner{25, 1.0 / 40.0, 300};

}  // namespace

MagnitudePosterior::MagnitudePosterior(const scale::Description& description, const diagnosis::Sheet& sheet)
    : description_(description), sheet_(sheet), memory_(diagnosis::diagnosis_doubles(description, sheet)) {
    numbers::Arena arena(memory_);
    bench_ = diagnosis::set_up_bench(arena, description_, sheet_, scatter_, {});
    good_ = bench_ != nullptr && bench_->predictor->prepare() && bench_->likelihood->prepare();
}

double MagnitudePosterior::log_density(const Fault& fault) {
    return bench_->evidence->log_density(fault);
}

std::array<double, scale::max_magnitudes> MagnitudePosterior::shares_below(const Fault& truth) {
    const Magnitudes m = scale::magnitudes_of(description_, truth.cause, truth.site);
    std::array<double, scale::max_magnitudes> shares{};
    Fault fault = truth;
    const double u = m.count > 0 ? diagnosis::share_below(m.of[0], truth.magnitude[0]) : 0.0;
    if (m.count == 1) {
        const auto along = [&](double at) {
            fault.magnitude[0] = diagnosis::magnitude_at(m.of[0], at);
            return log_density(fault);
        };
        shares[0] = LogCurve(along, closing_in_on(u), one_magnitude).share_below(u);
    } else if (m.count == 2) {
        const double v = diagnosis::share_below(m.of[1], truth.magnitude[1]);
        std::map<double, double> second_below;
        const auto along = [&](double at) {
            fault.magnitude[0] = diagnosis::magnitude_at(m.of[0], at);
            const LogCurve across(
                [&](double second) {
                    fault.magnitude[1] = diagnosis::magnitude_at(m.of[1], second);
                    return log_density(fault);
                },
                closing_in_on(v), inner);
            second_below[at] = across.share_below(v);
            return across.log_area();
        };
        const LogCurve whole(along, closing_in_on(u), outer);
        shares[0] = whole.share_below(u);
        shares[1] = whole.mean([&](double at) { return second_below.at(at); });
    }
    return shares;
}

double MagnitudePosterior::quantile(const Fault& near, double share) {
    const Magnitudes m = scale::magnitudes_of(description_, near.cause, near.site);
    Fault fault = near;
    const auto along = [&](double at) {
        fault.magnitude[0] = diagnosis::magnitude_at(m.of[0], at);
        return log_density(fault);
    };
    const double u = diagnosis::share_below(m.of[0], near.magnitude[0]);
    const LogCurve curve(along, closing_in_on(u), one_magnitude);
    return diagnosis::magnitude_at(m.of[0], curve.quantile(share));
}

}  // namespace cornerbench::field
