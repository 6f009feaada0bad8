#include "firmware/diagnosis/trim_steps.h"

#include <algorithm>
#include <cmath>

#include "firmware/scale/numbering.h"
#include "firmware/weighing/division.h"

namespace cornerbench::diagnosis {

namespace {

/// Part of the way to the next support within which a load counts as over this one.
constexpr double over_support = 0.25;

struct Place {
    double x_m = 0.0;
    double y_m = 0.0;
};

Place support_place(const scale::Deck& deck, int support) {
    const int section = scale::section_of(support, deck.sections);
    return {deck.section_x_m[static_cast<unsigned>(section)],
            scale::is_far(support, deck.sections) ? deck.width_m : 0.0};
}

/// True when all of `load` stands over the support.
bool stands_over(const Load& load, const scale::Deck& deck, int support) {
    const Place place = support_place(deck, support);
    const auto section = static_cast<unsigned>(scale::section_of(support, deck.sections));
    double reach = 1.0e9;
    if (section > 0) reach = std::min(reach, deck.section_x_m[section] - deck.section_x_m[section - 1]);
    if (section + 1 < static_cast<unsigned>(deck.sections)) {
        reach = std::min(reach, deck.section_x_m[section + 1] - deck.section_x_m[section]);
    }
    for (int i = 0; i < load.count; ++i) {
        const Standing& s = load.standing[static_cast<unsigned>(i)];
        if (std::fabs(s.x_m - place.x_m) > over_support * reach) return false;
        if (std::fabs(s.y_m - place.y_m) > over_support * deck.width_m) return false;
    }
    return load.count > 0;
}

Display display(double kg, double division_kg) {
    return {kg, weighing::rounded_kg(kg, division_kg)};
}

}  // namespace

CornerLoads corner_loads(const scale::Description& description, const Sheet& sheet,
                         const CornerModel& model) {
    CornerLoads loads;
    const int n = description.cell_count();
    double heaviest = 0.0;
    double heaviest_anywhere = 0.0;
    std::array<const Load*, scale::max_cells> own{};
    for (const Reading& r : sheet.readings) {
        if (!usable_weight(r) || r.load.count == 0) continue;
        const double mass = r.load.total_kg();
        heaviest_anywhere = std::max(heaviest_anywhere, mass);
        for (int i = 0; i < n; ++i) {
            const auto at = static_cast<unsigned>(i);
            if (!stands_over(r.load, description.deck, i) || mass <= loads.mass_kg[at]) continue;
            loads.mass_kg[at] = mass;
            own[at] = &r.load;
            heaviest = std::max(heaviest, mass);
        }
    }
    loads.reference_kg = heaviest > 0.0 ? heaviest : heaviest_anywhere;
    for (int i = 0; i < n; ++i) {
        const auto at = static_cast<unsigned>(i);
        Load over;
        if (own[at] == nullptr) {
            const Place place = support_place(description.deck, i);
            over.standing[0] = {loads.reference_kg, place.x_m, place.y_m};
            over.count = 1;
            loads.mass_kg[at] = loads.reference_kg;
        }
        loads.forces[at] = model.forces(own[at] == nullptr ? over : *own[at]);
    }
    return loads;
}

PerCell corner_weights(const CornerModel& model, const CornerLoads& loads, double kg_per_ratio) {
    PerCell weights{};
    const double empty = model.ratio(model.empty());
    for (unsigned i = 0; i < static_cast<unsigned>(model.count()); ++i) {
        weights[i] = (model.ratio(loads.forces[i]) - empty) * kg_per_ratio;
    }
    return weights;
}

double spread_kg(std::span<const double> weights, const CornerLoads& loads) {
    double least = 0.0;
    double most = 0.0;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        const double weight = weights[i] * loads.reference_kg / loads.mass_kg[i];
        least = i == 0 ? weight : std::min(least, weight);
        most = i == 0 ? weight : std::max(most, weight);
    }
    return most - least;
}

void order_of_corners(std::span<const double> turning, std::span<int> order) {
    const int n = static_cast<int>(order.size());
    const auto corner = [n](int start, int way, int step) { return ((start + way * step) % n + n) % n; };
    double least = 0.0;
    int best_start = -1;
    int best_way = 1;
    for (const int way : {1, -1}) {
        for (int start = 0; start < n; ++start) {
            double disturbance = 0.0;
            for (int step = 0; step < n; ++step) {
                disturbance += step * std::fabs(turning[static_cast<std::size_t>(corner(start, way, step))]);
            }
            if (best_start >= 0 && disturbance >= least) continue;
            least = disturbance;
            best_start = start;
            best_way = way;
        }
    }
    for (int step = 0; step < n; ++step) {
        order[static_cast<std::size_t>(step)] = corner(best_start, best_way, step);
    }
}

void compute_displays(CornerModel& model, const CornerLoads& loads, double kg_per_ratio, double zero_kg,
                      bool zero_before_each, double division_kg, std::span<TrimStep> steps) {
    double zero_ratio = model.ratio(model.empty()) - zero_kg / kg_per_ratio;
    for (TrimStep& step : steps) {
        const CellForces& forces = loads.forces[static_cast<unsigned>(step.corner)];
        if (zero_before_each) zero_ratio = model.ratio(model.empty());
        const auto shown = [&](const CellForces& on) {
            return (model.ratio(on) - zero_ratio) * kg_per_ratio;
        };
        const double before = shown(forces);
        model.set_setting(step.corner, step.to_at);
        const double target = shown(forces);
        const double emptied = shown(model.empty());
        step.before = display(before, division_kg);
        step.target = display(target, division_kg);
        step.emptied = display(emptied, division_kg);
        step.check = display(target - emptied, division_kg);
    }
}

}  // namespace cornerbench::diagnosis
