#include "sim/spread/chain.h"

#include <algorithm>

namespace cornerbench::spread {

double Outcome::spread_kg(int corners) const {
    const auto [low, high] = std::minmax_element(corner_kg.begin(), corner_kg.begin() + corners);
    return *high - *low;
}

Chain::Chain(const scale::Description& description, const field::PartTolerances& tolerances, State state,
             double test_kg)
    : description_(description),
      state_(state),
      variables_(variables_of(description, tolerances, state)),
      nominal_(nominal_condition(description, variables_)),
      loads_(description, test_kg),
      ratios_(loads_),
      boxes_(nominal_) {
    const auto rows = static_cast<std::size_t>(ColumnBoxes::columns);
    for (Reading* reading : {&now_, &set_up_}) {
        reading->empty.resize(rows);
        reading->evenly.resize(rows);
        reading->over.assign(static_cast<std::size_t>(corners()), std::vector<double>(rows));
    }
    if (!valid()) return;
    if (state == State::trimmed) trim_.emplace(nominal_, loads_);
    boxes_.put(0, nominal_);
    ratios_.put(0, nominal_);
    read(1, now_);
    nominal_zero_ = now_.empty[0];
    nominal_kg_per_ratio_ = loads_.evenly_kg() / (now_.evenly[0] - now_.empty[0]);
}

void Chain::read(int filled, Reading& reading) const {
    boxes_.outputs(ratios_.under(CornerLoads::empty()), filled, reading.empty);
    boxes_.outputs(ratios_.under(loads_.evenly()), filled, reading.evenly);
    for (int i = 0; i < corners(); ++i)
        boxes_.outputs(ratios_.under(CornerLoads::over(i)), filled,
                       reading.over[static_cast<std::size_t>(i)]);
}

void Chain::chunk(std::span<const Values> values, std::span<Outcome> out) {
    const int filled = static_cast<int>(values.size());
    std::vector<scale::Condition> conditions(values.size(), nominal_);
    const auto apply_all = [&](bool later) {
        for (std::size_t k = 0; k < values.size(); ++k) {
            for (std::size_t v = 0; v < variables_.size(); ++v)
                if (comes_later(variables_[v].part) == later)
                    apply(variables_[v], values[k][v], description_, conditions[k]);
        }
    };
    const auto put_all = [&] {
        for (std::size_t k = 0; k < values.size(); ++k) {
            boxes_.put(static_cast<int>(k), conditions[k]);
            ratios_.put(static_cast<int>(k), conditions[k]);
        }
    };
    apply_all(false);
    if (trim_) {
        put_all();
        trim_->trim(conditions, ratios_, boxes_);
        read(filled, set_up_);
    }
    apply_all(true);
    put_all();
    read(filled, now_);
    for (std::size_t k = 0; k < values.size(); ++k) {
        const double response = now_.evenly[k] - now_.empty[k];
        double set_kg_per_ratio = nominal_kg_per_ratio_;
        double set_zero = nominal_zero_;
        if (trim_) {
            set_kg_per_ratio = loads_.evenly_kg() / (set_up_.evenly[k] - set_up_.empty[k]);
            set_zero = set_up_.empty[k];
            Outcome set_up;
            for (std::size_t i = 0; i < set_up_.over.size(); ++i)
                set_up.corner_kg[i] = (set_up_.over[i][k] - set_zero) * set_kg_per_ratio;
            out[k].set_up_spread_kg = set_up.spread_kg(corners());
        }
        out[k].span = response * set_kg_per_ratio / loads_.evenly_kg() - 1.0;
        out[k].zero_kg = (now_.empty[k] - set_zero) * set_kg_per_ratio;
        const double kg_per_ratio = loads_.evenly_kg() / response;
        for (std::size_t i = 0; i < now_.over.size(); ++i)
            out[k].corner_kg[i] = (now_.over[i][k] - now_.empty[k]) * kg_per_ratio - loads_.test_kg();
    }
}

std::vector<Outcome> Chain::outcomes(std::span<const Values> values) {
    std::vector<Outcome> all(values.size());
    for (std::size_t first = 0; first < values.size(); first += ColumnBoxes::columns) {
        const std::size_t count = std::min<std::size_t>(ColumnBoxes::columns, values.size() - first);
        chunk(values.subspan(first, count), std::span(all).subspan(first, count));
    }
    return all;
}

}  // namespace cornerbench::spread
