#include "sim/field/open_classes.h"

#include <algorithm>
#include <array>

#include "firmware/numbers/elementary.h"
#include "sim/field/cause_and_place.h"

namespace cornerbench::field {

using diagnosis::Candidate;
using diagnosis::Shown;

namespace {

/// Candidates with less than this have no say in what a reading tells.
constexpr double no_say = 1.0e-4;

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
    /// Beyond this many standard deviations, squared, there is nothing that would count.
    constexpr double far_off = 80.0;
    const double z = (y - e.mean) / e.deviation;
    if (z * z > far_off) return 0.0;
    return numbers::exp(-0.5 * z * z) / e.deviation;
}

/// Of one outcome of a look that each candidate gives these probabilities.
double bits_of_outcome(const OpenClasses& q, std::span<const double> probability) {
    double all = 0.0;
    std::vector<double> of_class(q.class_share.size(), 0.0);
    for (std::size_t k = 0; k < q.share.size(); ++k) {
        all += q.share[k] * probability[k];
        of_class[q.of_class[k]] += q.share[k] * probability[k];
    }
    double bits = 0.0;
    for (std::size_t c = 0; c < of_class.size(); ++c) {
        if (!(q.class_share[c] > 0.0)) continue;
        const double p = of_class[c] / q.class_share[c];
        if (p > 0.0) bits += q.class_share[c] * p * log2_of(p / all);
    }
    return bits;
}

}  // namespace

double OpenClasses::doubt_bits() const {
    double bits = 0.0;
    for (const double share_of : class_share) {
        if (share_of > 0.0) bits -= share_of * log2_of(share_of);
    }
    return bits;
}

void OpenClasses::weigh(std::vector<double> shares) {
    double sum = 0.0;
    for (const double s : shares) sum += s;
    share = std::move(shares);
    std::fill(class_share.begin(), class_share.end(), 0.0);
    for (std::size_t k = 0; k < share.size(); ++k) {
        share[k] /= sum;
        class_share[of_class[k]] += share[k];
    }
}

OpenClasses classes_of(std::span<const Candidate> about) {
    OpenClasses q;
    std::vector<double> shares;
    std::vector<std::size_t> first_of;
    for (std::size_t k = 0; k < about.size(); ++k) {
        shares.push_back(about[k].probability);
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
    q.weigh(std::move(shares));
    return q;
}

double bits_of_number(const OpenClasses& q, std::span<const Expectation> expected) {
    std::vector<std::size_t> heard;
    for (std::size_t k = 0; k < q.share.size(); ++k) {
        if (q.share[k] >= no_say) heard.push_back(k);
    }
    double bits = 0.0;
    for (const std::size_t k : heard) {
        const std::size_t mine = q.of_class[k];
        const auto told = [&](double y) {
            double all = 0.0;
            double own = 0.0;
            for (const std::size_t j : heard) {
                if (expected[j].shown != expected[k].shown) continue;
                const bool number = expected[k].shown == Shown::value;
                const double part = q.share[j] * (number ? density(expected[j], y) : 1.0);
                all += part;
                if (q.of_class[j] == mine) own += part;
            }
            return log2_of(own / (q.class_share[mine] * all));
        };
        const auto& [mean, deviation, shown] = expected[k];
        if (shown != Shown::value) {
            bits += q.share[k] * told(0.0);
            continue;
        }
        for (const auto& [z, weight] : hermite) {
            bits += q.share[k] * weight *
                    (z == 0.0 ? told(mean) : told(mean + z * deviation) + told(mean - z * deviation));
        }
    }
    return std::max(bits, 0.0);
}

double bits_of_look(const OpenClasses& q, std::span<const std::vector<double>> findings) {
    double bits = 0.0;
    for (const std::vector<double>& probability : findings) bits += bits_of_outcome(q, probability);
    return std::max(bits, 0.0);
}

}  // namespace cornerbench::field
