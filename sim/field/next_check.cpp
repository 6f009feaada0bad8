#include "sim/field/next_check.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

#include "firmware/diagnosis/inspection.h"
#include "firmware/diagnosis/likelihood.h"
#include "firmware/numbers/dense.h"
#include "firmware/numbers/elementary.h"
#include "firmware/scale/exchanged_wires.h"
#include "sim/field/cause_and_place.h"
#include "sim/field/possible_checks.h"

namespace cornerbench::field {

using diagnosis::Candidate;
using diagnosis::Quantity;
using diagnosis::Reading;

namespace {

constexpr double least_bits = 0.01;

/// A reading's prediction by one candidate, given all readings taken.
struct Expectation {
    double mean = 0.0;
    double deviation = 1.0;
};

/// Nodes and weights of nine-point Gauss-Hermite quadrature for a standard normal, symmetric (Abramowitz and
/// Stegun, table 25.10, scaled by sqrt 2 and 1 / sqrt pi).
constexpr std::array<std::array<double, 2>, 5> hermite = {{{0.0, 0.40634920634920634921},
                                                           {1.02325566378913, 0.24409750289493},
                                                           {2.07684797867783, 0.04991640676522},
                                                           {3.20542900285647, 0.00278914132123},
                                                           {4.51274586339978, 0.00002234584401}}};

double log2_of(double x) {
    return numbers::log(x) / numbers::log(2.0);
}

double density(const Expectation& e, double y) {
    const double z = (y - e.mean) / e.deviation;
    return numbers::exp(-0.5 * z * z) / e.deviation;
}

/// Whom to tell apart: each of them belongs to a class, and only the classes are to be told apart.
struct Question {
    std::vector<double> share;
    std::vector<std::size_t> of_class;
    std::vector<double> class_share;

    double doubt_bits() const {
        double bits = 0.0;
        for (const double share_of : class_share) bits -= share_of * log2_of(share_of);
        return bits;
    }
};

/// One cause at one place is a class, whichever wire or arm it is; where there is only one class, each is its
/// own.
Question question_about(std::span<const Candidate> about) {
    Question q;
    double sum = 0.0;
    for (const Candidate& c : about) sum += c.probability;
    std::vector<std::size_t> first_of;
    for (std::size_t k = 0; k < about.size(); ++k) {
        q.share.push_back(about[k].probability / sum);
        std::size_t c = 0;
        while (c < first_of.size() && !same_cause_and_place(about[first_of[c]], about[k])) ++c;
        if (c == first_of.size()) first_of.push_back(k);
        q.of_class.push_back(c);
    }
    if (first_of.size() == 1) {
        for (std::size_t k = 0; k < about.size(); ++k) q.of_class[k] = k;
        first_of.resize(about.size());
    }
    q.class_share.assign(first_of.size(), 0.0);
    for (std::size_t k = 0; k < about.size(); ++k) q.class_share[q.of_class[k]] += q.share[k];
    return q;
}

/// Bits that a number tells about the class of the normal it came from.
double bits_of_number(const Question& q, std::span<const Expectation> expected) {
    double bits = 0.0;
    for (std::size_t k = 0; k < q.share.size(); ++k) {
        const std::size_t mine = q.of_class[k];
        const auto told = [&](double z) {
            const double y = expected[k].mean + z * expected[k].deviation;
            double all = 0.0;
            double own = 0.0;
            for (std::size_t j = 0; j < q.share.size(); ++j) {
                const double part = q.share[j] * density(expected[j], y);
                all += part;
                if (q.of_class[j] == mine) own += part;
            }
            return log2_of(own / (q.class_share[mine] * all));
        };
        for (const auto& [z, weight] : hermite) {
            bits += q.share[k] * weight * (z == 0.0 ? told(0.0) : told(z) + told(-z));
        }
    }
    return std::max(bits, 0.0);
}

/// Of one outcome of a look that each candidate gives these probabilities.
double bits_of_outcome(const Question& q, std::span<const double> probability) {
    double all = 0.0;
    std::vector<double> of_class(q.class_share.size(), 0.0);
    for (std::size_t k = 0; k < q.share.size(); ++k) {
        all += q.share[k] * probability[k];
        of_class[q.of_class[k]] += q.share[k] * probability[k];
    }
    double bits = 0.0;
    for (std::size_t c = 0; c < of_class.size(); ++c) {
        const double p = of_class[c] / q.class_share[c];
        if (p > 0.0) bits += q.class_share[c] * p * log2_of(p / all);
    }
    return bits;
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

double bits_of_look(const Question& q, const Reading& look, std::span<const Candidate> asked) {
    double bits = 0.0;
    for (const Reading& found : findings_of(look)) {
        std::vector<double> probability;
        for (const Candidate& c : asked)
            probability.push_back(numbers::exp(diagnosis::log_inspection(found, c.fault, c.also)));
        bits += bits_of_outcome(q, probability);
    }
    return std::max(bits, 0.0);
}

/// The forward model over the sheet and all readings that could still be taken.
class Outlook {
  public:
    Outlook(const scale::Description& d, const diagnosis::Sheet& sheet,
            const std::vector<PossibleCheck>& checks, std::span<const int> ignored)
        : description_(d), taken_(static_cast<int>(sheet.readings.size())) {
        readings_.assign(sheet.readings.begin(), sheet.readings.end());
        for (const PossibleCheck& check : checks) {
            Reading r = check.reading;
            // Only its uncertainty counts: a value of the right size.
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
    }

    bool good() const { return good_; }
    int open_count() const { return static_cast<int>(open_.size()); }
    int check_of(int open) const { return rows_.row[open_[open]].reading - taken_; }

    /// Expectations of every open row under `candidate`, given the known ones.
    std::vector<Expectation> expect(const Candidate& candidate) {
        const int n = rows_.measured;
        const int known = static_cast<int>(known_.size());
        std::vector<Expectation> expected(open_.size());
        predictor_->hold(candidate.also);
        if (!predictor_->set(candidate.fault) ||
            !likelihood_->choose(diagnosis::touched_by(candidate.fault, candidate.also)) ||
            !likelihood_->factor()) {
            return expected;
        }
        std::vector<double> whole(static_cast<std::size_t>(n * n));
        likelihood_->covariance(whole);
        std::vector<double> mean(static_cast<std::size_t>(n));
        for (int i = 0; i < n; ++i) mean[i] = predictor_->mean(rows_.row[i]);

        std::vector<double> factor(static_cast<std::size_t>(known * known));
        for (int a = 0; a < known; ++a) {
            for (int b = 0; b <= a; ++b) factor[a * known + b] = whole[known_[a] * n + known_[b]];
        }
        if (!numbers::cholesky(factor, known)) return expected;
        std::vector<double> white(static_cast<std::size_t>(known));
        for (int a = 0; a < known; ++a) white[a] = rows_.row[known_[a]].value - mean[known_[a]];
        numbers::forward_substitute(factor, known, white);
        std::vector<double> link(static_cast<std::size_t>(known));
        for (std::size_t o = 0; o < open_.size(); ++o) {
            for (int a = 0; a < known; ++a) link[a] = whole[open_[o] * n + known_[a]];
            numbers::forward_substitute(factor, known, link);
            double variance = whole[open_[o] * n + open_[o]];
            double shift = 0.0;
            for (int a = 0; a < known; ++a) {
                variance -= link[a] * link[a];
                shift += link[a] * white[a];
            }
            expected[o] = {mean[open_[o]] + shift,
                           std::sqrt(std::max(variance, rows_.row[open_[o]].variance))};
        }
        widen_by_magnitude(candidate, expected);
        return expected;
    }

  private:
    double typical_ohm(const Reading& r) const {
        const bool shield = r.between_a == scale::Wire::shield || r.between_b == scale::Wire::shield;
        return shield ? description_.cells[r.cell].insulation_ohm : description_.cells[r.cell].input_ohm;
    }

    /// An uncertain magnitude spreads what it predicts: by its inner 90 %, 3.29 standard deviations wide.
    void widen_by_magnitude(const Candidate& candidate, std::vector<Expectation>& expected) {
        predictor_->hold(candidate.also);
        widen_by_magnitude(candidate.fault, candidate.estimate, expected);
        if (!candidate.two_at_once()) return;
        predictor_->hold(candidate.fault);
        widen_by_magnitude(candidate.also, candidate.also_estimate, expected);
    }

    void widen_by_magnitude(const scale::Fault& of,
                            const std::array<diagnosis::Estimate, scale::max_magnitudes>& estimate,
                            std::vector<Expectation>& expected) {
        const int count = scale::magnitudes_of(description_, of.cause, of.site).count;
        for (int k = 0; k < count; ++k) {
            std::vector<double> low(open_.size());
            scale::Fault fault = of;
            fault.magnitude[k] = estimate[k].low;
            if (!predictor_->set(fault)) continue;
            for (std::size_t o = 0; o < open_.size(); ++o) low[o] = predictor_->mean(rows_.row[open_[o]]);
            fault.magnitude[k] = estimate[k].high;
            if (!predictor_->set(fault)) continue;
            for (std::size_t o = 0; o < open_.size(); ++o) {
                const double spread = (predictor_->mean(rows_.row[open_[o]]) - low[o]) / 3.29;
                expected[o].deviation =
                    std::sqrt(expected[o].deviation * expected[o].deviation + spread * spread);
            }
        }
    }

    const scale::Description& description_;
    diagnosis::Scatter scatter_;
    int taken_ = 0;
    bool good_ = false;
    std::vector<Reading> readings_;
    diagnosis::Sheet sheet_;
    diagnosis::LoadHistory history_;
    diagnosis::Rows rows_;
    std::vector<double> memory_;
    std::unique_ptr<diagnosis::Predictor> predictor_;
    std::unique_ptr<diagnosis::Likelihood> likelihood_;
    std::vector<int> known_;
    std::vector<int> open_;
};

}  // namespace

std::vector<NextCheck> next_checks(const scale::Description& d, const diagnosis::Sheet& sheet,
                                   std::span<const Candidate> about, std::span<const int> ignored, int most,
                                   const CheckMinutes& minutes, const Workplace& from) {
    std::vector<Candidate> asked;
    for (const Candidate& c : about) {
        if (c.fault.cause == scale::Cause::unlisted || !(c.probability > 0.0)) continue;
        asked.push_back(c);
    }
    std::vector<NextCheck> checks;
    if (asked.size() < 2) return checks;
    const Question question = question_about(asked);
    const double doubt_bits = question.doubt_bits();

    std::vector<PossibleCheck> possible = possible_checks(d, sheet, minutes, from);
    const std::size_t room =
        diagnosis::max_readings - std::min<std::size_t>(sheet.readings.size(), diagnosis::max_readings);
    if (possible.size() > room) possible.resize(room);
    Outlook outlook(d, sheet, possible, ignored);
    if (!outlook.good()) return checks;
    std::vector<std::vector<Expectation>> by_candidate;
    for (const Candidate& c : asked) by_candidate.push_back(outlook.expect(c));

    for (int o = 0; o < outlook.open_count(); ++o) {
        std::vector<Expectation> expected;
        for (const auto& all : by_candidate) expected.push_back(all[o]);
        const PossibleCheck& check = possible[outlook.check_of(o)];
        NextCheck next{check.reading, check.minutes, bits_of_number(question, expected), 0.0, {}, {}};
        for (const Expectation& e : expected) {
            next.expected.push_back(e.mean);
            next.deviation.push_back(e.deviation);
        }
        checks.push_back(next);
    }
    for (const PossibleCheck& check : possible) {
        if (check.reading.quantity != Quantity::inspection) continue;
        std::vector<double> wrong;
        Reading not_so = check.reading;
        not_so.as_it_should_be = false;
        for (const Candidate& c : asked) {
            wrong.push_back(numbers::exp(diagnosis::log_inspection(not_so, c.fault, c.also)));
        }
        checks.push_back(
            {check.reading, check.minutes, bits_of_look(question, check.reading, asked), 0.0, wrong, {}});
    }
    std::erase_if(checks, [](const NextCheck& c) { return c.bits < least_bits; });
    for (NextCheck& c : checks) c.of_doubt = std::min(c.bits / doubt_bits, 1.0);
    std::stable_sort(checks.begin(), checks.end(), [](const NextCheck& a, const NextCheck& b) {
        return a.bits / a.minutes > b.bits / b.minutes;
    });
    if (static_cast<int>(checks.size()) > most) checks.resize(most);
    return checks;
}

}  // namespace cornerbench::field
