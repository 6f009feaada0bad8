#include "sim/field/check_values.h"

#include <algorithm>
#include <cmath>

#include "firmware/diagnosis/inspection.h"
#include "firmware/numbers/elementary.h"
#include "firmware/scale/exchanged_wires.h"

namespace cornerbench::field {

using diagnosis::Candidate;
using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::Shown;

namespace {

/// Candidates that are less likely than this after a foreseen reading are out of it.
constexpr double out_of_it = 5.0e-3;
/// Outcomes with less than this chance are not foreseen.
constexpr double least_chance = 1.0e-3;

double below(const Expectation& e, double y) {
    return numbers::normal_below((y - e.mean) / e.deviation);
}

/// Everything that a look can find.
std::vector<Reading> findings_of(const Reading& look) {
    std::vector<Reading> all(2, look);
    all[0].as_it_should_be = true;
    all[1].as_it_should_be = false;
    if (look.look != diagnosis::Look::wire_colours) return all;
    all.resize(1);
    for (int a = 0; a < scale::live_wire_count; ++a) {
        for (int b = a + 1; b < scale::live_wire_count; ++b) {
            all.push_back(look);
            all.back().as_it_should_be = false;
            all.back().exchanged = true;
            all.back().between_a = static_cast<scale::Wire>(a);
            all.back().between_b = static_cast<scale::Wire>(b);
        }
    }
    return all;
}

}  // namespace

CheckValues::CheckValues(const scale::Description& d, const diagnosis::Sheet& sheet,
                         std::span<const Candidate> about, std::span<const int> ignored,
                         const CheckMinutes& minutes, const Workplace& from)
    : description_(d) {
    for (const Candidate& c : about) {
        if (c.fault.cause == scale::Cause::unlisted || !(c.probability > 0.0)) continue;
        asked_.push_back(c);
    }
    if (asked_.size() < 2) return;
    classes_ = classes_of(asked_);
    doubt_bits_ = classes_.doubt_bits();
    possible_ = possible_checks(d, sheet, ignored, minutes, from);
    const std::size_t room =
        diagnosis::max_readings - std::min<std::size_t>(sheet.readings.size(), diagnosis::max_readings);
    if (possible_.size() > room) possible_.resize(room);
    outlook_ = std::make_unique<Outlook>(d, sheet, possible_, ignored);
    if (!outlook_->good()) return;
    for (const Candidate& c : asked_) by_candidate_.push_back(outlook_->expect(c));
    open_of_.assign(possible_.size(), -1);
    for (int o = 0; o < outlook_->open_count(); ++o) {
        open_of_[static_cast<std::size_t>(outlook_->check_of(o))] = o;
    }
    good_ = true;
}

Foreseen CheckValues::now() const {
    return {1.0, classes_.share, {}, {}};
}

std::vector<std::vector<double>> CheckValues::found(const std::vector<Reading>& findings) const {
    std::vector<std::vector<double>> all;
    for (const Reading& finding : findings) {
        std::vector<double>& probability = all.emplace_back();
        for (const Candidate& c : asked_)
            probability.push_back(numbers::exp(diagnosis::log_inspection(finding, c.fault, c.also)));
    }
    return all;
}

std::vector<Expectation> CheckValues::expected(std::size_t check, const Foreseen& then) const {
    const int open = open_of_[check];
    std::vector<Expectation> all;
    for (std::size_t k = 0; k < asked_.size(); ++k) {
        const Expected& by = by_candidate_[k];
        Expectation e = by.reading[static_cast<std::size_t>(open)];
        if (then.check.empty() || !by.good || then.share[k] < out_of_it) {
            all.push_back(e);
            continue;
        }
        // One number after the other: what is left of each once those before it are known.
        std::vector<double> own;  // share of `check` in each, over its deviation
        std::vector<std::vector<double>> mixed;
        std::vector<double> white;
        double variance = e.deviation * e.deviation;
        for (std::size_t g = 0; g < then.check.size(); ++g) {
            const int given = open_of_[then.check[g]];
            const Expectation& of_given = by.reading[static_cast<std::size_t>(given)];
            double rest = of_given.deviation * of_given.deviation;
            double residual = then.read[g] - of_given.mean;
            double with = by.covariance(open, given);
            std::vector<double> row;
            for (std::size_t h = 0; h < g; ++h) {
                double between = by.covariance(given, open_of_[then.check[h]]);
                for (std::size_t i = 0; i < h; ++i) between -= row[i] * mixed[h][i];
                between /= mixed[h][h];
                row.push_back(between);
                rest -= between * between;
                residual -= between * white[h];
                with -= between * own[h];
            }
            const double root = std::sqrt(std::max(rest, 1.0e-6 * of_given.deviation * of_given.deviation));
            row.push_back(root);
            mixed.push_back(row);
            white.push_back(residual / root);
            own.push_back(with / root);
            e.mean += own[g] * white[g];
            variance -= own[g] * own[g];
        }
        e.deviation = std::sqrt(std::max(variance, 1.0e-4 * e.deviation * e.deviation));
        all.push_back(e);
    }
    return all;
}

double CheckValues::bits(std::size_t check, const Foreseen& then) const {
    OpenClasses classes = classes_;
    classes.weigh(then.share);
    if (is_look(check)) {
        if (possible_[check].reading.quantity != Quantity::inspection) return 0.0;
        return bits_of_look(classes, found(findings_of(possible_[check].reading)));
    }
    return bits_of_number(classes, expected(check, then));
}

std::vector<Foreseen> CheckValues::branches(std::size_t check, const Foreseen& then, int points) const {
    std::vector<Foreseen> branches;
    const auto add = [&](Foreseen branch) {
        double sum = 0.0;
        for (const double s : branch.share) sum += s;
        if (!(sum > 0.0) || branch.chance < least_chance) return;
        for (double& s : branch.share) s = s / sum < out_of_it ? 0.0 : s / sum;
        branches.push_back(std::move(branch));
    };
    if (is_look(check)) {
        for (const std::vector<double>& probability : found(findings_of(possible_[check].reading))) {
            Foreseen branch = then;
            double chance = 0.0;
            for (std::size_t k = 0; k < probability.size(); ++k) {
                branch.share[k] *= probability[k];
                chance += branch.share[k];
            }
            branch.chance *= chance;
            add(branch);
        }
        return branches;
    }
    const std::vector<Expectation> all = expected(check, then);
    for (const Shown shown : {Shown::value, Shown::over_range, Shown::under_range, Shown::blank}) {
        double chance = 0.0;
        double low = 1.0e300;
        double high = -1.0e300;
        for (std::size_t k = 0; k < all.size(); ++k) {
            if (all[k].shown != shown || !(then.share[k] > 0.0)) continue;
            chance += then.share[k];
            low = std::min(low, all[k].mean - 5.0 * all[k].deviation);
            high = std::max(high, all[k].mean + 5.0 * all[k].deviation);
        }
        if (!(chance > 0.0)) continue;
        if (shown != Shown::value) {
            Foreseen branch = then;
            branch.chance *= chance;
            for (std::size_t k = 0; k < all.size(); ++k) {
                if (all[k].shown != shown) branch.share[k] = 0.0;
            }
            add(branch);
            continue;
        }
        // Numbers in the middle of slices that are equally likely.
        for (int i = 0; i < points; ++i) {
            const double wanted = chance * (i + 0.5) / points;
            double from = low;
            double to = high;
            for (int n = 0; n < 40; ++n) {
                const double middle = 0.5 * (from + to);
                double sum = 0.0;
                for (std::size_t k = 0; k < all.size(); ++k) {
                    if (all[k].shown == shown) sum += then.share[k] * below(all[k], middle);
                }
                (sum < wanted ? from : to) = middle;
            }
            Foreseen branch = then;
            const double y = 0.5 * (from + to);
            branch.chance *= chance / points;
            branch.check.push_back(check);
            branch.read.push_back(y);
            for (std::size_t k = 0; k < all.size(); ++k) {
                const double z = (y - all[k].mean) / all[k].deviation;
                branch.share[k] *=
                    all[k].shown == shown ? numbers::exp(-0.5 * z * z) / all[k].deviation : 0.0;
            }
            add(branch);
        }
    }
    return branches;
}

std::vector<std::vector<CheckOutcome>> CheckValues::outcomes(std::span<const std::size_t> checks,
                                                             std::span<const Candidate> all) {
    const OutcomeCases cases = outcome_cases(description_, asked_, all);
    std::vector<int> opens;
    for (const std::size_t check : checks) {
        if (!is_look(check)) opens.push_back(open_of_[check]);
    }
    std::vector<std::vector<Prediction>> by_candidate;
    std::size_t sound = asked_.size();
    for (std::size_t k = 0; k < asked_.size(); ++k) {
        by_candidate.push_back(outlook_->predict(asked_[k], by_candidate_[k], opens));
        if (asked_[k].fault.cause == scale::Cause::healthy) sound = k;
    }
    if (sound == asked_.size()) {
        const Candidate healthy;
        by_candidate.push_back(outlook_->predict(healthy, outlook_->expect(healthy), opens));
    } else {
        by_candidate.push_back(by_candidate[sound]);
    }
    std::vector<std::vector<CheckOutcome>> all_outcomes;
    std::size_t number = 0;
    for (const std::size_t check : checks) {
        const Reading& reading = possible_[check].reading;
        if (is_look(check)) {
            const std::vector<Reading> findings = findings_of(reading);
            std::vector<std::vector<double>> probabilities = found(findings);
            for (std::size_t f = 0; f < findings.size(); ++f)
                probabilities[f].push_back(numbers::exp(diagnosis::log_inspection(findings[f], {}, {})));
            all_outcomes.push_back(outcomes_of_look(cases, findings, probabilities));
            continue;
        }
        std::vector<Prediction> predictions;
        for (const auto& of : by_candidate) predictions.push_back(of[number]);
        ++number;
        all_outcomes.push_back(outcomes_of_number(cases, reading, predictions));
    }
    return all_outcomes;
}

}  // namespace cornerbench::field
