#include "sim/field/gain_suspects.h"

#include <algorithm>
#include <cmath>

namespace cornerbench::field {

using watch::NumberKind;

namespace {

/// A cell that changes reads less more often than more (common practice, no source).
constexpr double less_prior = 0.8;
constexpr double least_probability = 0.05;
/// By how much the simple picture may miss a large change, relative.
constexpr double picture_error = 0.1;
/// Of a sound scale's shares and ends, from the stiffness of its supports.
constexpr double share_scatter = 0.02;
constexpr double end_scatter = 0.004;
constexpr double dead_below = 0.15;
constexpr double mate_below = 0.5;

struct Observed {
    NumberKind kind;
    int index = 0;
    double change = 0.0;
    double variance = 0.0;
};

std::vector<Observed> observed(const watch::TrafficWatch& traffic, bool since_first) {
    std::vector<Observed> all;
    const watch::NumberList& list = traffic.numbers();
    for (int n = 0; n < list.count(); ++n) {
        const NumberKind kind = list.kind(n);
        const bool lateral = kind == NumberKind::lateral;
        const bool end = kind >= NumberKind::left_end && kind <= NumberKind::rear_steps;
        const watch::Chart& chart = traffic.chart(n);
        if ((!lateral && !end) || chart.count() < watch::learning_numbers) continue;
        // Of two sections one says what the other says.
        if (lateral && list.sections == 2 && list.index(n) == 1) continue;
        const watch::ChartSettings& settings = traffic.chart_settings(kind);
        Observed o{kind, list.index(n)};
        o.change = since_first ? chart.mean() : chart.recent() - chart.mean();
        const double scatter = since_first ? (lateral ? share_scatter : end_scatter) : settings.floor;
        o.variance = chart.deviation() * chart.deviation() * (1.0 / settings.recent + 1.0 / chart.count()) +
                     scatter * scatter + std::pow(picture_error * o.change, 2);
        all.push_back(o);
    }
    return all;
}

int mate_of(int cell, int sections) {
    return scale::support_at(scale::section_of(cell, sections), !scale::is_far(cell, sections), sections);
}

/// How far one number moves when `cell` gets `gain` times its signal.
double predicted(const watch::TrafficWatch& traffic, const Observed& o, int cell, double gain) {
    const watch::NumberList& list = traffic.numbers();
    if (o.kind == NumberKind::lateral) {
        // (gain - 1) / (gain + 1), kept finite where both cells of a section cancel.
        const double sum = gain + 1.0;
        const double share = (gain - 1.0) / (std::fabs(sum) < 0.05 ? std::copysign(0.05, sum) : sum);
        const double own = scale::is_far(cell, list.sections) ? share : -share;
        return scale::section_of(cell, list.sections) == o.index ? own : -own / (list.sections - 1);
    }
    const int end = static_cast<int>(o.kind) - static_cast<int>(NumberKind::left_end);
    // Answers are those of the cells as they read now. One that hardly answers any more has carried what the
    // other of its section carries.
    if (gain < mate_below) {
        const double lost = (1.0 - gain) * traffic.answer(end, mate_of(cell, list.sections));
        return -lost / (1.0 + 0.5 * std::fabs(lost));
    }
    return traffic.answer(end, cell) * (gain - 1.0) / gain;
}

double misfit(const watch::TrafficWatch& traffic, const std::vector<Observed>& all, int cell, double gain) {
    double sum = 0.0;
    for (const Observed& o : all) {
        const double p = predicted(traffic, o, cell, gain);
        const bool coarse = o.kind != NumberKind::lateral && std::fabs(gain - 1.0) > 0.1;
        const double variance = o.variance + (coarse ? 0.25 * p * p : 0.0);
        sum += (o.change - p) * (o.change - p) / variance;
    }
    return sum;
}

TrafficSign sign_of(double gain) {
    if (gain < -dead_below) return TrafficSign::reversed;
    if (gain < dead_below) return TrafficSign::dead;
    return gain < 1.0 ? TrafficSign::reads_less : TrafficSign::reads_more;
}

}  // namespace

std::vector<Suspect> gain_suspects(const watch::TrafficWatch& traffic, bool since_first) {
    const std::vector<Observed> all = observed(traffic, since_first);
    std::vector<Suspect> suspects;
    std::vector<double> weight;
    double least = 1.0e300;
    for (int cell = 0; cell < traffic.numbers().channels; ++cell) {
        for (const bool less : {true, false}) {
            double best = 1.0e300;
            double best_gain = 1.0;
            // Steps that grow with the change: from a thousandth to a cell turned over.
            for (double size = 0.0005; size < (less ? 2.2 : 1.0); size *= 1.05) {
                const double gain = less ? 1.0 - size : 1.0 + size;
                const double off = misfit(traffic, all, cell, gain);
                if (off >= best) continue;
                best = off;
                best_gain = gain;
            }
            const double cost = best - 2.0 * std::log(less ? less_prior : 1.0 - less_prior);
            suspects.push_back({cell, sign_of(best_gain), cost, best_gain});
            least = std::min(least, cost);
        }
    }
    double sum = 0.0;
    for (Suspect& s : suspects) {
        s.probability = std::exp(-0.5 * (s.probability - least));
        sum += s.probability;
    }
    for (Suspect& s : suspects) s.probability /= sum;
    std::erase_if(suspects, [](const Suspect& s) { return s.probability < least_probability; });
    std::sort(suspects.begin(), suspects.end(),
              [](const Suspect& a, const Suspect& b) { return a.probability > b.probability; });
    return suspects;
}

}  // namespace cornerbench::field
