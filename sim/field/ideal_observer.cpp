#include "sim/field/ideal_observer.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "firmware/diagnosis/rows.h"
#include "firmware/numbers/dense.h"
#include "firmware/numbers/elementary.h"

namespace cornerbench::field {

using diagnosis::Candidate;
using scale::Fault;

namespace {

constexpr std::uint64_t observer_stream = 41;
constexpr double impossible = -1.0e300;
constexpr double log_sqrt_2pi = 0.91893853320467274178;
/// A reading of another kind than the specimen shows. The generator never misreads, so this is as good as
/// never.
constexpr double other_kind = -30.0;
/// Draws are spread a little wider than the linear answer says, so that none counts for much more than
/// others.
constexpr double wider = 1.1;
constexpr double wider_sizes = 1.4;
/// Share of the sizes that are drawn from the whole prior.
constexpr double defensive = 0.3;
constexpr double slope_step = 0.05;
constexpr int fitting_steps = 6;
/// A variant with a smaller share of its cause is not drawn for.
constexpr double worth_drawing = 1.0e-3;

double log_normal(double x) {
    return -0.5 * x * x - log_sqrt_2pi;
}

std::vector<double> values_of(const Draws& draws) {
    std::vector<double> values(draws.size());
    for (std::size_t i = 0; i < values.size(); ++i) values[i] = draws.value(i);
    return values;
}

double share_of(double z) {
    return std::clamp(numbers::normal_below(z), 1.0e-12, 1.0 - 1.0e-12);
}

/// The specimens of one sheet: everything that the generator draws, as standard normals, and what is read
/// then.
class Generator {
  public:
    Generator(const scale::Description& d, const SimulatedSheet& observed, const SheetPlan& plan,
              const SheetSetting& setting)
        : d_(d), plan_(plan), setting_(setting), rows_(diagnosis::rows_of(observed.sheet(), d, {})) {}

    int rows() const { return rows_.measured; }
    const diagnosis::Row& row(int i) const { return rows_.row[static_cast<std::size_t>(i)]; }

    /// What would stand on the sheet; false where the deck does not stand. `draws` grows to what is drawn.
    bool read(const Fault& fault, Draws& draws, std::vector<double>& means, double& log_kinds) const {
        const SimulatedSheet sheet = read_exactly(d_, fault, draws, plan_, setting_);
        if (sheet.error != mechanics::DeckError::none) return false;
        const diagnosis::Rows read = diagnosis::rows_of(sheet.sheet(), d_, {});
        std::map<int, double> value;
        for (int i = 0; i < read.measured; ++i) {
            value[read.row[static_cast<std::size_t>(i)].reading] =
                read.row[static_cast<std::size_t>(i)].value;
        }
        means.assign(static_cast<std::size_t>(rows_.measured), 0.0);
        log_kinds = 0.0;
        for (int i = 0; i < rows_.measured; ++i) {
            const auto found = value.find(row(i).reading);
            if (found == value.end()) log_kinds += other_kind;
            means[static_cast<std::size_t>(i)] = found == value.end() ? row(i).value : found->second;
        }
        for (int i = rows_.measured; i < rows_.measured + rows_.open_ended; ++i) {
            if (value.count(row(i).reading) != 0) log_kinds += other_kind;
        }
        return true;
    }

    /// Log density of what was read, given what the instruments were shown.
    double log_density(const std::vector<double>& means) const {
        double sum = 0.0;
        for (int i = 0; i < rows_.measured; ++i) {
            const double sigma = std::sqrt(row(i).variance);
            sum += log_normal((row(i).value - means[static_cast<std::size_t>(i)]) / sigma) - std::log(sigma);
        }
        return sum;
    }

  private:
    const scale::Description& d_;
    const SheetPlan& plan_;
    const SheetSetting& setting_;
    diagnosis::Rows rows_;
};

/// One cause at one place in one variant.
class Hypothesis {
  public:
    Hypothesis(const Generator& generator, const scale::Description& d, const Candidate& guess, int variant)
        : generator_(generator), fault_(guess.fault) {
        fault_.variant = scale::variant_at(d, fault_.cause, variant);
        magnitudes_ = scale::magnitudes_of(d, fault_.cause, fault_.site);
        const bool named = fault_.variant == guess.fault.variant;
        for (int k = 0; k < magnitudes_.count; ++k) {
            const auto at = static_cast<std::size_t>(k);
            const diagnosis::Estimate& e = guess.estimate[at];
            const auto z_of = [&](double value) {
                const double u = diagnosis::share_below(magnitudes_.of[at], value);
                return numbers::normal_quantile(std::clamp(u, 1.0e-6, 1.0 - 1.0e-6));
            };
            middle_[k] =
                z_of(named ? e.value : guess.variants[static_cast<std::size_t>(variant)].magnitude[at]);
            spread_[k] = std::clamp((z_of(e.high) - z_of(e.low)) / 3.29, 1.0e-5, 1.0) * wider_sizes;
        }
    }

    /// By as many draws as it takes to know it, or as may be.
    double log_evidence(RandomSource& random, const IdealSetting& ideal) {
        std::vector<Linear> linear;
        const int anchors = magnitudes_.count > 0 ? 3 : 1;
        for (int a = 0; a < anchors; ++a) {
            linear.emplace_back();
            if (!linearise(anchors == 1 ? 0.0 : a - 1.0, linear.back())) linear.pop_back();
        }
        if (linear.empty()) return impossible;
        double sum = impossible;
        double squares = 2.0 * impossible;
        int draws = 0;
        while (draws < ideal.most_draws) {
            const double weight = one_draw(random, linear);
            sum = numbers::log_sum(sum, weight);
            squares = numbers::log_sum(squares, 2.0 * weight);
            ++draws;
            // Variance of the mean over its square, by the draws' own spread.
            const double variance = numbers::exp(squares - 2.0 * sum) - 1.0 / draws;
            if (draws >= ideal.draws && variance < ideal.known_to * ideal.known_to) break;
        }
        return sum - std::log(static_cast<double>(draws));
    }

  private:
    /// What is read about one size, as it answers to each draw: to those that are even by their share, which
    /// is nearly linear, not by the normal that stands for it.
    struct Linear {
        double size = 0.0;           ///< first magnitude, as a standard normal
        Draws draws;                 ///< all in the middle
        std::vector<double> slopes;  ///< rows x draws, over the standard uncertainty
    };

    Fault at(const std::array<double, scale::max_magnitudes>& z) const {
        Fault fault = fault_;
        for (int k = 0; k < magnitudes_.count; ++k) {
            const auto i = static_cast<std::size_t>(k);
            fault.magnitude[i] = diagnosis::magnitude_at(magnitudes_.of[i], share_of(z[i]));
        }
        return fault;
    }

    bool linearise(double deviations, Linear& out) {
        std::array<double, scale::max_magnitudes> z = middle_;
        z[0] += deviations * spread_[0];
        out.size = z[0];
        const Fault fault = at(z);
        std::vector<double> base;
        std::vector<double> moved;
        double kinds = 0.0;
        if (!generator_.read(fault, out.draws, base, kinds)) return false;
        const std::size_t n = base.size();
        const std::size_t m = out.draws.size();
        out.slopes.assign(n * m, 0.0);
        for (std::size_t j = 0; j < m; ++j) {
            Draws near = out.draws;
            near[j] = slope_step;
            if (!generator_.read(fault, near, moved, kinds)) return false;
            const double by = near.value(j) - out.draws.value(j);
            for (std::size_t i = 0; i < n; ++i) {
                out.slopes[i * m + j] =
                    (moved[i] - base[i]) / (by * std::sqrt(generator_.row(static_cast<int>(i)).variance));
            }
        }
        return true;
    }

    double one_draw(RandomSource& random, const std::vector<Linear>& all) {
        std::array<double, scale::max_magnitudes> z = middle_;
        double log_weight = 0.0;
        for (int k = 0; k < magnitudes_.count; ++k) {
            const auto i = static_cast<std::size_t>(k);
            const bool anywhere = random.share() < defensive;
            z[i] = anywhere ? random.normal() : middle_[i] + spread_[i] * random.normal();
            const double near = log_normal((z[i] - middle_[i]) / spread_[i]) - std::log(spread_[i]);
            log_weight += log_normal(z[i]) - numbers::log_sum(std::log(1.0 - defensive) + near,
                                                              std::log(defensive) + log_normal(z[i]));
        }
        const Linear* linear = &all.front();
        for (const Linear& l : all) {
            if (std::fabs(l.size - z[0]) < std::fabs(linear->size - z[0])) linear = &l;
        }
        const Fault fault = at(z);
        std::vector<double> means;
        double kinds = 0.0;
        Draws draws = linear->draws;
        if (!generator_.read(fault, draws, means, kinds)) return impossible;
        const std::size_t n = means.size();
        const std::size_t m = draws.size();
        std::vector<double> off(n);
        for (std::size_t i = 0; i < n; ++i) {
            const diagnosis::Row& row = generator_.row(static_cast<int>(i));
            off[i] = (row.value - means[i]) / std::sqrt(row.variance);
        }
        const std::vector<double> middle = values_of(linear->draws);
        std::vector<double> precision(m * m);
        std::vector<double> step(m);
        for (int s = 0; s < fitting_steps; ++s) {
            std::vector<double> chain(m);
            for (std::size_t j = 0; j < m; ++j) chain[j] = draws.per_normal(j);
            const std::vector<double> here = values_of(draws);
            std::vector<double> residual = off;
            for (std::size_t i = 0; i < n; ++i) {
                for (std::size_t j = 0; j < m; ++j) {
                    residual[i] -= linear->slopes[i * m + j] * (here[j] - middle[j]);
                }
            }
            std::fill(precision.begin(), precision.end(), 0.0);
            for (std::size_t j = 0; j < m; ++j) {
                step[j] = -draws[j];
                for (std::size_t i = 0; i < n; ++i) {
                    const double slope = linear->slopes[i * m + j] * chain[j];
                    if (slope == 0.0) continue;
                    step[j] += slope * residual[i];
                    for (std::size_t k = 0; k <= j; ++k) {
                        precision[j * m + k] += slope * linear->slopes[i * m + k] * chain[k];
                    }
                }
                precision[j * m + j] += 1.0;
            }
            if (!numbers::cholesky(precision, static_cast<int>(m))) return impossible;
            if (s + 1 == fitting_steps) break;
            numbers::solve_factored(precision, static_cast<int>(m), step);
            for (std::size_t j = 0; j < m; ++j) {
                draws[j] = std::clamp(draws[j] + std::clamp(step[j], -1.0, 1.0), -4.0, 4.0);
            }
        }
        std::vector<double> drawn(m);
        for (std::size_t j = 0; j < m; ++j) {
            drawn[j] = random.normal();
            log_weight -= log_normal(drawn[j]) + std::log(precision[j * m + j] / wider);
        }
        numbers::back_substitute(precision, static_cast<int>(m), drawn);
        for (std::size_t j = 0; j < m; ++j) {
            draws[j] += wider * drawn[j];
            log_weight += log_normal(draws[j]);
        }
        if (!generator_.read(fault, draws, means, kinds)) return impossible;
        return log_weight + kinds + generator_.log_density(means);
    }

    const Generator& generator_;
    Fault fault_;
    scale::Magnitudes magnitudes_;
    std::array<double, scale::max_magnitudes> middle_{};
    std::array<double, scale::max_magnitudes> spread_{1.0, 1.0};
};

}  // namespace

std::vector<Candidate> ideal_ranking(const scale::Description& d, const SimulatedSheet& sheet,
                                     const SheetPlan& plan, const SheetSetting& setting,
                                     const std::vector<Candidate>& found, std::uint64_t seed,
                                     const IdealSetting& ideal, const Fault* never_left_out) {
    const Generator generator(d, sheet, plan, setting);
    std::vector<Candidate> ranked;
    double best = impossible;
    for (const Candidate& c : found) {
        // Nobody draws what is on no list, nor two at once.
        if (c.two_at_once() || c.fault.cause == scale::Cause::unlisted || !(c.prior > 0.0)) continue;
        ranked.push_back(c);
        best = std::max(best, c.log_evidence + std::log(c.prior));
    }
    RandomSource random(seed, observer_stream);
    double total = impossible;
    for (Candidate& c : ranked) {
        const bool asked = never_left_out != nullptr && c.fault.cause == never_left_out->cause &&
                           c.fault.site == never_left_out->site;
        if (asked || c.log_evidence + std::log(c.prior) > best - ideal.negligible) {
            double sum = impossible;
            for (int v = 0; v < scale::variant_count(d, c.fault.cause); ++v) {
                const diagnosis::VariantShare& way = c.variants[static_cast<std::size_t>(v)];
                if (way.share < worth_drawing) continue;
                Hypothesis hypothesis(generator, d, c, v);
                sum = numbers::log_sum(sum, hypothesis.log_evidence(random, ideal) +
                                                std::log(scale::variant_prior(d, c.fault.cause, v)));
            }
            c.log_evidence = sum;
        }
        total = numbers::log_sum(total, c.log_evidence + std::log(c.prior));
    }
    for (Candidate& c : ranked) c.probability = numbers::exp(c.log_evidence + std::log(c.prior) - total);
    std::stable_sort(ranked.begin(), ranked.end(),
                     [](const Candidate& a, const Candidate& b) { return a.probability > b.probability; });
    return ranked;
}

}  // namespace cornerbench::field
