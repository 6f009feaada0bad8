#include "sim/field/outlook.h"

#include <algorithm>
#include <cmath>

#include "firmware/numbers/dense.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::field {

using diagnosis::Candidate;
using diagnosis::Estimate;
using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::RowKind;
using diagnosis::Shown;

namespace {

/// Standard deviations of a normal that its inner 90 % is wide.
constexpr double inner_90 = 3.2897072539029444;

/// In the middle of what its size may be, where there is one size alone.
scale::Fault usual_size(const scale::Description& d, const Candidate& c) {
    scale::Fault fault = c.fault;
    const Estimate& e = c.estimate[0];
    const bool one = scale::magnitudes_of(d, fault.cause, fault.site).count == 1;
    if (one && !c.two_at_once() && e.low < e.high) fault.magnitude[0] = e.value;
    return fault;
}

}  // namespace

double Expected::covariance(int a, int b) const {
    const auto i = static_cast<std::size_t>(a);
    const auto j = static_cast<std::size_t>(b);
    double sum = whole[i * reading.size() + j];
    for (std::size_t k = 0; k < known_to[i].size(); ++k) sum -= known_to[i][k] * known_to[j][k];
    for (std::size_t k = 0; k < moved_by[i].size(); ++k) sum += moved_by[i][k] * moved_by[j][k];
    return sum;
}

Outlook::Outlook(const scale::Description& d, const diagnosis::Sheet& sheet,
                 const std::vector<PossibleCheck>& checks, std::span<const int> ignored)
    : description_(d), taken_(static_cast<int>(sheet.readings.size())) {
    readings_.assign(sheet.readings.begin(), sheet.readings.end());
    for (const PossibleCheck& check : checks) {
        Reading r = check.reading;
        // Only its uncertainty counts: a value of the right size.
        r.shown = Shown::value;
        r.value = r.quantity == Quantity::resistance   ? typical_ohm(r)
                  : r.quantity == Quantity::excitation ? d.excitation_V
                                                       : 0.0;
        readings_.push_back(r);
    }
    sheet_ = sheet;
    sheet_.readings = readings_;
    history_ = diagnosis::load_history(sheet_);
    rows_ = diagnosis::rows_of(sheet_, d, scatter_);
    numbers::Arena count{std::span<double>{}};
    diagnosis::Predictor sized(count, d, sheet_, history_, scatter_);
    diagnosis::Likelihood also_sized(count, sized, rows_);
    memory_.resize(count.used() + 64);
    numbers::Arena arena{memory_};
    predictor_ = std::make_unique<diagnosis::Predictor>(arena, d, sheet_, history_, scatter_);
    likelihood_ = std::make_unique<diagnosis::Likelihood>(arena, *predictor_, rows_);
    good_ = predictor_->prepare() && likelihood_->prepare();
    for (int i = 0; i < rows_.measured; ++i) {
        const int reading = rows_.row[i].reading;
        if (reading >= taken_) {
            open_.push_back(i);
        } else if (std::find(ignored.begin(), ignored.end(), reading) == ignored.end()) {
            known_.push_back(i);
        }
    }
    white_.resize(known_.size());
}

double Outlook::typical_ohm(const Reading& r) const {
    return diagnosis::against_shield(r) ? description_.cells[r.cell].insulation_ohm
                                        : description_.cells[r.cell].input_ohm;
}

void Outlook::whiten_known() {
    for (std::size_t a = 0; a < known_.size(); ++a) {
        const diagnosis::Row& row = rows_.row[known_[a]];
        white_[a] = row.value - predictor_->mean(row);
    }
    numbers::forward_substitute(factor_, static_cast<int>(known_.size()), white_);
}

double Outlook::given_known(const Expected& expected, int open) {
    double value = predictor_->mean(rows_.row[open_[open]]);
    const std::vector<double>& link = expected.known_to[open];
    for (std::size_t a = 0; a < white_.size(); ++a) value += link[a] * white_[a];
    return value;
}

Shown Outlook::shown(int open) {
    const diagnosis::Row& row = rows_.row[open_[open]];
    const Reading& r = readings_[row.reading];
    switch (row.kind) {
        case RowKind::weight:
        case RowKind::channel:
            return predictor_->shown(row);
        case RowKind::resistance: {
            const double last =
                diagnosis::against_shield(r) ? scatter_.insulation_last_ohm : scatter_.ohmmeter_last_ohm;
            return predictor_->mean(row) > numbers::log(last) ? Shown::over_range : Shown::value;
        }
        default:
            return Shown::value;
    }
}

Expected Outlook::expect(const Candidate& candidate) {
    const int n = rows_.measured;
    const int known = static_cast<int>(known_.size());
    const std::size_t opens = open_.size();
    Expected expected;
    expected.reading.resize(opens);
    const scale::Fault fault = usual_size(description_, candidate);
    predictor_->hold(candidate.also);
    if (!predictor_->set(fault) || !likelihood_->choose(diagnosis::touched_by(fault, candidate.also)) ||
        !likelihood_->factor()) {
        return expected;
    }
    std::vector<double> whole(static_cast<std::size_t>(n * n));
    likelihood_->covariance(whole);
    factor_.assign(static_cast<std::size_t>(known * known), 0.0);
    for (int a = 0; a < known; ++a) {
        for (int b = 0; b <= a; ++b) factor_[a * known + b] = whole[known_[a] * n + known_[b]];
    }
    if (!numbers::cholesky(factor_, known)) return expected;
    expected.factor = factor_;
    expected.known_to.resize(opens);
    expected.moved_by.resize(opens);
    expected.whole.resize(opens * opens);
    for (std::size_t o = 0; o < opens; ++o) {
        for (std::size_t p = 0; p < opens; ++p)
            expected.whole[o * opens + p] = whole[open_[o] * n + open_[p]];
        std::vector<double>& link = expected.known_to[o];
        link.resize(static_cast<std::size_t>(known));
        for (int a = 0; a < known; ++a) link[a] = whole[open_[o] * n + known_[a]];
        numbers::forward_substitute(factor_, known, link);
    }
    whiten_known();
    for (std::size_t o = 0; o < opens; ++o) {
        const int open = static_cast<int>(o);
        expected.reading[o].mean = given_known(expected, open);
        expected.reading[o].shown = shown(open);
    }
    spread_by_size(fault, candidate.estimate, expected);
    if (candidate.two_at_once()) {
        predictor_->hold(candidate.fault);
        spread_by_size(candidate.also, candidate.also_estimate, expected);
    }
    for (std::size_t o = 0; o < opens; ++o) {
        const int open = static_cast<int>(o);
        expected.reading[o].deviation =
            std::sqrt(std::max(expected.covariance(open, open), rows_.row[open_[o]].variance));
    }
    expected.good = true;
    return expected;
}

void Outlook::spread_by_size(const scale::Fault& of,
                             const std::array<Estimate, scale::max_magnitudes>& estimate,
                             Expected& expected) {
    const int count = scale::magnitudes_of(description_, of.cause, of.site).count;
    for (int k = 0; k < count; ++k) {
        if (!(estimate[k].low < estimate[k].high)) continue;
        std::vector<double> low(open_.size());
        scale::Fault fault = of;
        fault.magnitude[k] = estimate[k].low;
        if (!predictor_->set(fault)) continue;
        whiten_known();
        for (std::size_t o = 0; o < open_.size(); ++o) low[o] = given_known(expected, static_cast<int>(o));
        fault.magnitude[k] = estimate[k].high;
        if (!predictor_->set(fault)) continue;
        whiten_known();
        for (std::size_t o = 0; o < open_.size(); ++o) {
            const double high = given_known(expected, static_cast<int>(o));
            expected.moved_by[o].push_back((high - low[o]) / inner_90);
        }
    }
}

std::vector<Prediction> Outlook::predict(const Candidate& candidate, const Expected& expected,
                                         std::span<const int> open) {
    std::vector<Prediction> predictions(open.size());
    for (std::size_t o = 0; o < open.size(); ++o) {
        const Expectation& e = expected.reading[open[o]];
        predictions[o].shown = e.shown;
        predictions[o].at.fill(e.mean);
        predictions[o].deviation = e.deviation;
    }
    const scale::Magnitudes m =
        scale::magnitudes_of(description_, candidate.fault.cause, candidate.fault.site);
    const Estimate& size = candidate.estimate[0];
    if (!expected.good || m.count != 1 || candidate.two_at_once() || !(size.low < size.high)) {
        return predictions;
    }
    const double low = diagnosis::share_below(m.of[0], size.low);
    const double middle = diagnosis::share_below(m.of[0], size.value);
    const double high = diagnosis::share_below(m.of[0], size.high);
    // A normal's 27.5 % lies at two fifths of the way down to its 5 %, an even spread's in the middle. Its
    // half per cent lies half as far again, and of an even spread there is a ninth more.
    constexpr double inner = 0.43;
    constexpr double outer = 0.3;
    const double down = middle - low;
    const double up = high - middle;
    const std::array<double, Prediction::places> shares{
        std::max(low - outer * down, 0.0), low, middle - inner * down, middle, middle + inner * up, high,
        std::min(high + outer * up, 1.0)};
    factor_ = expected.factor;
    predictor_->hold(candidate.also);
    scale::Fault fault = candidate.fault;
    for (int i = 0; i < Prediction::places; ++i) {
        fault.magnitude[0] = diagnosis::magnitude_at(m.of[0], shares[i]);
        if (!predictor_->set(fault)) continue;
        whiten_known();
        for (std::size_t o = 0; o < open.size(); ++o) predictions[o].at[i] = given_known(expected, open[o]);
    }
    for (std::size_t o = 0; o < open.size(); ++o) {
        const int row = open[o];
        double variance = expected.covariance(row, row);
        for (const double moved : expected.moved_by[row]) variance -= moved * moved;
        predictions[o].deviation = std::sqrt(std::max(variance, rows_.row[open_[row]].variance));
    }
    return predictions;
}

}  // namespace cornerbench::field
