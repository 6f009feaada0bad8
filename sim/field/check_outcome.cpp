#include "sim/field/check_outcome.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "firmware/diagnosis/predictor.h"
#include "firmware/diagnosis/scatter.h"
#include "sim/field/open_classes.h"

namespace cornerbench::field {

using diagnosis::Candidate;
using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::Shown;

namespace {

constexpr std::size_t most_outcomes = 4;
constexpr double least_chance = 0.01;
/// Share of a range's readings that its bounds leave out at either side.
constexpr double left_out = 0.01;
/// Candidates with less than this decide nothing.
constexpr double no_say = 1.0e-3;

/// Probabilities of each candidate and last of the rest, not scaled.
using Masses = std::vector<double>;

std::vector<double> class_masses(const OutcomeCases& cases, const Masses& mass) {
    std::vector<double> sum(cases.about.size(), 0.0);
    for (std::size_t k = 0; k < cases.about.size(); ++k) sum[cases.of_class[k]] += mass[k];
    return sum;
}

std::size_t leading_class(const std::vector<double>& of_class) {
    return static_cast<std::size_t>(std::max_element(of_class.begin(), of_class.end()) - of_class.begin());
}

void share_variants(const OutcomeCases& cases, const Masses& mass, std::size_t leader, Candidate& leads) {
    leads.variants.fill({});
    double sum = 0.0;
    for (std::size_t k = 0; k < cases.about.size(); ++k) {
        if (cases.of_class[k] == leader) sum += mass[k];
    }
    for (std::size_t k = 0; k < cases.about.size(); ++k) {
        if (cases.of_class[k] != leader) continue;
        const scale::Fault& fault = cases.about[k].fault;
        for (int v = 0; v < scale::variant_count(cases.description, fault.cause); ++v) {
            if (scale::variant_at(cases.description, fault.cause, v) == fault.variant)
                leads.variants[static_cast<std::size_t>(v)].share += mass[k] / sum;
        }
    }
}

/// What leads where the candidates have these masses.
CheckOutcome judged(const OutcomeCases& cases, const Masses& mass) {
    CheckOutcome outcome;
    double all = 0.0;
    for (const double m : mass) all += m;
    const std::vector<double> of_class = class_masses(cases, mass);
    const std::size_t leader = leading_class(of_class);
    std::size_t best = cases.about.size();
    for (std::size_t k = 0; k < cases.about.size(); ++k) {
        if (cases.of_class[k] == leader && (best == cases.about.size() || mass[k] > mass[best])) best = k;
    }
    outcome.leads = cases.about[best];
    share_variants(cases, mass, leader, outcome.leads);
    outcome.chance = all;
    outcome.probability = all > 0.0 ? of_class[leader] / all : 0.0;
    outcome.group_probability = outcome.probability;
    if (outcome.leads.group < 0 || !(all > 0.0)) return outcome;
    outcome.group_probability = 0.0;
    for (std::size_t k = 0; k < cases.about.size(); ++k) {
        if (cases.about[k].group == outcome.leads.group) outcome.group_probability += mass[k] / all;
    }
    return outcome;
}

struct Bounds {
    double low = 0.0;
    double high = 0.0;
};

/// What can be shown at all, in the row's own form.
Bounds possible_bounds(const Reading& r, const scale::Description& d) {
    const diagnosis::Scatter scatter;
    constexpr double supply_above = 1.03;
    switch (r.quantity) {
        case Quantity::weight:
            return {-diagnosis::most_divisions_under * d.division_kg,
                    d.max_kg + diagnosis::most_divisions_over * d.division_kg};
        case Quantity::excitation:
            return {0.0, supply_above * d.excitation_V};
        case Quantity::resistance:
            return {std::log(0.1), std::log(diagnosis::against_shield(r) ? scatter.insulation_last_ohm
                                                                         : scatter.ohmmeter_last_ohm)};
        default: {
            const double volt = scatter.millivoltmeter_last_V;
            const double most = r.is_ratio || r.quantity == Quantity::channel ? volt / d.excitation_V : volt;
            return {-most, most};
        }
    }
}

class Ranges {
  public:
    Ranges(const OutcomeCases& cases, const Reading& reading, std::span<const Prediction> predictions)
        : cases_(cases),
          reading_(reading),
          predictions_(predictions),
          bounds_(possible_bounds(reading, cases.description)) {}

    std::vector<CheckOutcome> outcomes() {
        std::vector<CheckOutcome> found;
        if (any_number()) {
            const std::vector<double> grid = places();
            const auto leader = [&](double y) { return leading_class(class_masses(cases_, masses_at(y))); };
            std::vector<double> cuts = cuts_between(grid, leader);
            if (cuts.empty()) {
                // One cause stays ahead: where does a reading speak for it, where against?
                Masses before = cases_.share;
                before.push_back(cases_.rest);
                const double now = judged(cases_, before).probability;
                cuts = cuts_between(grid, [&](double y) -> std::size_t {
                    return judged(cases_, masses_at(y)).probability > now ? 1 : 0;
                });
            }
            for (double& cut : cuts) cut = between_shown(cut);
            cuts.insert(cuts.begin(), bounds_.low);
            cuts.push_back(bounds_.high);
            for (std::size_t i = 0; i + 1 < cuts.size(); ++i) add_range(cuts[i], cuts[i + 1], found);
        }
        for (const Shown shown : {Shown::over_range, Shown::under_range, Shown::blank}) {
            Masses mass = weights();
            for (std::size_t k = 0; k < mass.size(); ++k) {
                if (predictions_[k].shown != shown) mass[k] = 0.0;
            }
            CheckOutcome outcome = judged(cases_, mass);
            outcome.shown = shown;
            if (outcome.chance >= least_chance) found.push_back(outcome);
        }
        return found;
    }

  private:
    Masses weights() const {
        Masses mass = cases_.share;
        mass.push_back(cases_.rest);
        return mass;
    }

    bool heard(std::size_t k) const {
        const double share = k < cases_.share.size() ? cases_.share[k] : cases_.rest;
        return share > 0.0 && predictions_[k].shown == Shown::value;
    }

    bool any_number() const {
        for (std::size_t k = 0; k < predictions_.size(); ++k) {
            if (heard(k)) return true;
        }
        return false;
    }

    Masses masses_at(double y) const {
        Masses mass = weights();
        for (std::size_t k = 0; k < mass.size(); ++k) {
            const bool counts = heard(k) && mass[k] >= no_say;
            mass[k] = counts ? mass[k] * predictions_[k].density(y) : 0.0;
        }
        return mass;
    }

    Masses masses_between(double low, double high) const {
        Masses mass = weights();
        for (std::size_t k = 0; k < mass.size(); ++k) {
            // What lies beyond the bounds is read at the bounds.
            const double above = high < bounds_.high ? predictions_[k].below(high) : 1.0;
            const double below = low > bounds_.low ? predictions_[k].below(low) : 0.0;
            mass[k] = heard(k) ? mass[k] * std::max(above - below, 0.0) : 0.0;
        }
        return mass;
    }

    double share_between(double low, double high) const {
        double sum = 0.0;
        for (const double m : masses_between(low, high)) sum += m;
        return sum;
    }

    /// Where it is worth asking who is ahead.
    std::vector<double> places() const {
        std::vector<double> at;
        for (std::size_t k = 0; k < predictions_.size(); ++k) {
            if (!heard(k)) continue;
            const Prediction& p = predictions_[k];
            const auto [low, high] = std::minmax_element(p.at.begin(), p.at.end());
            for (const double z : {0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5}) {
                at.push_back(*low - z * p.deviation);
                at.push_back(*high + z * p.deviation);
            }
            at.insert(at.end(), p.at.begin(), p.at.end());
        }
        for (double& y : at) y = std::clamp(y, bounds_.low, bounds_.high);
        std::sort(at.begin(), at.end());
        at.erase(std::unique(at.begin(), at.end()), at.end());
        return at;
    }

    static std::vector<double> cuts_between(const std::vector<double>& grid,
                                            const std::function<std::size_t(double)>& label) {
        constexpr int halvings = 20;
        std::vector<double> cuts;
        std::vector<std::size_t> labels;
        for (const double y : grid) labels.push_back(label(y));
        for (std::size_t i = 0; i + 1 < grid.size(); ++i) {
            if (labels[i] == labels[i + 1]) continue;
            double low = grid[i];
            double high = grid[i + 1];
            for (int n = 0; n < halvings; ++n) {
                const double middle = 0.5 * (low + high);
                (label(middle) == labels[i] ? low : high) = middle;
            }
            cuts.push_back(0.5 * (low + high));
        }
        return cuts;
    }

    double in_unit(double y) const { return reading_.quantity == Quantity::resistance ? std::exp(y) : y; }
    double in_row(double value) const {
        return reading_.quantity == Quantity::resistance ? std::log(value) : value;
    }
    double step(double value) const { return shown_step(reading_, value, cases_.description); }

    /// The nearest place between two values that can be shown.
    double between_shown(double y) const {
        const double value = in_unit(y);
        const double by = step(value);
        return in_row((std::floor(value / by) + 0.5) * by);
    }

    void add_range(double low, double high, std::vector<CheckOutcome>& found) const {
        if (!(high > low)) return;
        CheckOutcome outcome = judged(cases_, masses_between(low, high));
        if (outcome.chance < least_chance) return;
        const auto share_reached = [&](double share) {
            constexpr int halvings = 40;
            double below = low;
            double above = high;
            for (int n = 0; n < halvings; ++n) {
                const double middle = 0.5 * (below + above);
                (share_between(low, middle) < share * outcome.chance ? below : above) = middle;
            }
            return in_unit(0.5 * (below + above));
        };
        const double from = share_reached(left_out);
        const double to = share_reached(1.0 - left_out);
        // Bounds at halves between two shown values, so that the nearest shown one lies within the range.
        outcome.low = std::round(from / step(from)) * step(from) + 0.0;
        outcome.high = std::round(to / step(to)) * step(to) + 0.0;
        if (reading_.quantity != Quantity::weight && in_row(std::max(outcome.low, 1.0e-9)) < low &&
            low > bounds_.low) {
            outcome.low += step(from);
        }
        found.push_back(outcome);
    }

    const OutcomeCases& cases_;
    const Reading& reading_;
    std::span<const Prediction> predictions_;
    Bounds bounds_;
};

/// The likeliest ones, in their order.
std::vector<CheckOutcome> likeliest(std::vector<CheckOutcome> outcomes) {
    while (outcomes.size() > most_outcomes) {
        outcomes.erase(std::min_element(
            outcomes.begin(), outcomes.end(),
            [](const CheckOutcome& a, const CheckOutcome& b) { return a.chance < b.chance; }));
    }
    return outcomes;
}

}  // namespace

double shown_step(const Reading& r, double value, const scale::Description& d) {
    switch (r.quantity) {
        case Quantity::weight:
            return d.division_at_kg(value);
        case Quantity::excitation:
            return 1.0e-3;
        case Quantity::resistance: {
            if (value < 1.0e4) return 0.1;
            // Three figures.
            return std::pow(10.0, std::floor(std::log10(value)) - 2.0);
        }
        case Quantity::channel:
            return 1.0e-7;
        case Quantity::signal:
            return r.is_ratio ? 1.0e-7 : 1.0e-6;
        case Quantity::inspection:
            break;
    }
    return 1.0;
}

OutcomeCases outcome_cases(const scale::Description& d, std::span<const Candidate> about,
                           std::span<const Candidate> all) {
    OutcomeCases cases{d, about, {}, {}, 0.0};
    if (about.empty()) return cases;
    double listed = 0.0;
    for (const Candidate& c : all) {
        if (c.fault.cause != scale::Cause::unlisted) listed += c.probability;
    }
    double sum = 0.0;
    for (const Candidate& c : about) sum += c.probability;
    listed = std::max(listed, sum);
    for (const Candidate& c : about) cases.share.push_back(c.probability / listed);
    cases.rest = 1.0 - sum / listed;
    cases.of_class = classes_of(about).of_class;
    return cases;
}

std::vector<CheckOutcome> outcomes_of_number(const OutcomeCases& cases, const Reading& reading,
                                             std::span<const Prediction> predictions) {
    return likeliest(Ranges(cases, reading, predictions).outcomes());
}

std::vector<CheckOutcome> outcomes_of_look(const OutcomeCases& cases, std::span<const Reading> findings,
                                           std::span<const std::vector<double>> probabilities) {
    std::vector<CheckOutcome> outcomes;
    for (std::size_t f = 0; f < findings.size(); ++f) {
        Masses mass = cases.share;
        mass.push_back(cases.rest);
        for (std::size_t k = 0; k < mass.size(); ++k) mass[k] *= probabilities[f][k];
        CheckOutcome outcome = judged(cases, mass);
        outcome.as_it_should_be = findings[f].as_it_should_be;
        outcome.exchanged = findings[f].exchanged;
        outcome.wire_a = findings[f].between_a;
        outcome.wire_b = findings[f].between_b;
        if (findings.size() == 2 || outcome.chance >= least_chance) outcomes.push_back(outcome);
    }
    return likeliest(std::move(outcomes));
}

}  // namespace cornerbench::field
