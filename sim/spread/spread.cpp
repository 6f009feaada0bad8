#include "sim/spread/spread.h"

#include <algorithm>
#include <cmath>

#include "sim/field/random_source.h"

namespace cornerbench::spread {

namespace {

/// Standard deviation of what lies evenly from -1 to 1.
const double even_deviation = std::sqrt(1.0 / 3.0);

constexpr std::uint64_t spread_stream = 21;

double mean_square(const Outcome& outcome, int corners) {
    double sum = 0.0;
    for (int i = 0; i < corners; ++i) {
        const double kg = outcome.corner_kg[static_cast<unsigned>(i)];
        sum += kg * kg / corners;
    }
    return sum;
}

Values with_half(const Values& values, const std::vector<Variable>& variables, Part part) {
    Values halved = values;
    for (std::size_t v = 0; v < variables.size(); ++v)
        if (variables[v].part == part) halved[v] *= 0.5;
    return halved;
}

std::vector<Part> parts_of(const std::vector<Variable>& variables) {
    std::vector<Part> parts;
    for (const Variable& v : variables)
        if (parts.empty() || parts.back() != v.part) parts.push_back(v.part);
    return parts;
}

double over(double part, double whole) {
    return whole > 0.0 ? part / whole : 0.0;
}

}  // namespace

Sensitivities::Sensitivities(Chain& chain) : corners_(chain.corners()), variables_(chain.variables()) {
    const std::size_t count = variables_.size();
    std::vector<Values> stepped(2 * count, Values(count, 0.0));
    for (std::size_t v = 0; v < count; ++v) {
        stepped[2 * v][v] = even_deviation;
        stepped[2 * v + 1][v] = -even_deviation;
    }
    const std::vector<Outcome> outcomes = chain.outcomes(stepped);
    rows_.resize(count);
    for (std::size_t v = 0; v < count; ++v) {
        const Outcome& up = outcomes[2 * v];
        const Outcome& down = outcomes[2 * v + 1];
        const auto slope = [](double above, double below) {
            return (above - below) / (2.0 * even_deviation);
        };
        for (unsigned i = 0; i < static_cast<unsigned>(corners_); ++i)
            rows_[v].corner_kg[i] = slope(up.corner_kg[i], down.corner_kg[i]);
        rows_[v].rest.span = slope(up.span, down.span);
        rows_[v].rest.zero_kg = slope(up.zero_kg, down.zero_kg);
    }
}

FirstOrder Sensitivities::first_order() const {
    FirstOrder all;
    const auto n = static_cast<unsigned>(corners_);
    Triple variance;
    std::vector<Triple> of_part;
    std::array<double, scale::max_cells> corner_worst{};
    for (std::size_t v = 0; v < variables_.size(); ++v) {
        if (all.parts.empty() || all.parts.back().part != variables_[v].part) {
            all.parts.push_back({variables_[v].part, 0.0, {}});
            of_part.emplace_back();
        }
        all.parts.back().half_width = std::max(all.parts.back().half_width, variables_[v].half_width);
        const Row& row = rows_[v];
        Triple square;
        for (unsigned i = 0; i < n; ++i) {
            square.corner_kg += row.corner_kg[i] * row.corner_kg[i] / corners_;
            corner_worst[i] += std::fabs(row.corner_kg[i]);
        }
        square.span = row.rest.span * row.rest.span;
        square.zero_kg = row.rest.zero_kg * row.rest.zero_kg;
        for (Triple* sum : {&of_part.back(), &variance}) {
            sum->corner_kg += square.corner_kg / 3.0;
            sum->span += square.span / 3.0;
            sum->zero_kg += square.zero_kg / 3.0;
        }
        all.worst.span += std::fabs(row.rest.span);
        all.worst.zero_kg += std::fabs(row.rest.zero_kg);
    }
    all.worst.corner_kg = *std::max_element(corner_worst.begin(), corner_worst.end());
    for (unsigned i = 0; i < n; ++i) {
        for (unsigned j = 0; j < i; ++j) {
            double apart = 0.0;
            for (const Row& row : rows_) apart += std::fabs(row.corner_kg[i] - row.corner_kg[j]);
            all.worst_spread_kg = std::max(all.worst_spread_kg, apart);
        }
    }
    for (std::size_t p = 0; p < all.parts.size(); ++p)
        all.parts[p].share = {over(of_part[p].corner_kg, variance.corner_kg),
                              over(of_part[p].span, variance.span),
                              over(of_part[p].zero_kg, variance.zero_kg)};
    all.deviation = {std::sqrt(variance.corner_kg), std::sqrt(variance.span), std::sqrt(variance.zero_kg)};
    return all;
}

double Sensitivities::spread_kg(const Values& values) const {
    Outcome straight;
    for (std::size_t v = 0; v < rows_.size(); ++v)
        for (unsigned i = 0; i < static_cast<unsigned>(corners_); ++i)
            straight.corner_kg[i] += values[v] * rows_[v].corner_kg[i];
    return straight.spread_kg(corners_);
}

Values values_of(std::size_t variables, std::uint64_t seed) {
    field::RandomSource random(seed, spread_stream);
    Values values(variables);
    for (double& value : values) value = random.between(-1.0, 1.0);
    return values;
}

std::vector<Sample> draw_samples(Chain& chain, const Sensitivities& straight, const SampleSetting& setting,
                                 const field::TrialShard& shard, const std::function<void(int)>& progress) {
    const std::vector<Variable>& variables = chain.variables();
    const std::vector<Part> parts = parts_of(variables);
    const int begin = shard.begin(setting.samples);
    const int end = shard.end(setting.samples);
    std::vector<Sample> samples;
    for (int first = begin; first < end; first += ColumnBoxes::columns) {
        const int last = std::min(end, first + ColumnBoxes::columns);
        std::vector<Values> values;
        for (int i = first; i < last; ++i)
            values.push_back(values_of(variables.size(), setting.first_seed + static_cast<std::uint64_t>(i)));
        const std::vector<Outcome> outcomes = chain.outcomes(values);
        const std::size_t at = samples.size();
        for (std::size_t k = 0; k < values.size(); ++k) {
            const Outcome& o = outcomes[k];
            samples.push_back({o.spread_kg(chain.corners()),
                               straight.spread_kg(values[k]),
                               mean_square(o, chain.corners()),
                               o.span,
                               o.zero_kg,
                               o.set_up_spread_kg,
                               {}});
        }
        for (const Part part : parts) {
            std::vector<Values> halved;
            for (const Values& one : values) halved.push_back(with_half(one, variables, part));
            const std::vector<Outcome> then = chain.outcomes(halved);
            for (std::size_t k = 0; k < then.size(); ++k)
                samples[at + k].halved_spread_kg.push_back(then[k].spread_kg(chain.corners()));
        }
        if (progress) progress(last - begin);
    }
    return samples;
}

}  // namespace cornerbench::spread
