#include "sim/commissioning/shims.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "firmware/mechanics/deck.h"

namespace cornerbench::commissioning {

using diagnosis::Quantity;
using diagnosis::Reading;

namespace {

using Loads = std::vector<double>;

constexpr double even_to_standard = 0.57735026918962576;  // 1 / sqrt(3): of a half-width
/// Of what a support should carry, standard, relative: the deck's mass and how evenly it lies.
constexpr double expected_scatter = 0.05;
constexpr double clearly = 2.0;
constexpr double probe_m = 1.0e-4;
constexpr std::size_t most_shims = 3;
/// A support more is worth it when it lowers the misfit by so much.
constexpr double worth_it = 0.75;
constexpr double good_enough = 1.0;
constexpr double thickest_mm = 20.0;

/// The cell's ratio with the deck empty, V/V; nothing when it was not read.
std::optional<double> empty_ratio(const files::SheetFile& sheet, int cell) {
    for (const Reading& r : sheet.readings) {
        if (r.cell != cell || r.load.count > 0 || r.shown != diagnosis::Shown::value) continue;
        if (r.quantity == Quantity::channel) return r.value;
        if (r.quantity != Quantity::signal || r.connected) continue;
        if (r.is_ratio) return r.value;
        const double volt =
            r.lifted_excitation_V > 0.0 ? r.lifted_excitation_V : sheet.scale.description.excitation_V;
        return r.value / volt;
    }
    return std::nullopt;
}

class Statics {
  public:
    explicit Statics(const scale::Description& d) : d_(d), sound_(scale::sound_condition(d)) {}

    /// kg on each support when `raised` mm lie under them.
    Loads with(const std::vector<Shim>& raised) const {
        scale::Condition c = sound_;
        for (const Shim& shim : raised)
            c.supports[static_cast<unsigned>(shim.support)].height_m += 1.0e-3 * shim.mm;
        mechanics::DeckState empty;
        mechanics::DeckModel(c).slack_when_empty(&empty);
        Loads loads;
        for (int i = 0; i < d_.cell_count(); ++i)
            loads.push_back(empty.support_N[static_cast<unsigned>(i)] / scale::standard_gravity);
        return loads;
    }

    /// Change of each support's load by a millimetre under one of them, every support pressed.
    std::vector<Loads> by_mm() const {
        const Loads level = with({});
        std::vector<Loads> slopes;
        for (int j = 0; j < d_.cell_count(); ++j) {
            Loads raised = with({{j, 1000.0 * probe_m}});
            for (std::size_t i = 0; i < raised.size(); ++i)
                raised[i] = (raised[i] - level[i]) / (1000.0 * probe_m);
            slopes.push_back(std::move(raised));
        }
        return slopes;
    }

  private:
    const scale::Description& d_;
    scale::Condition sound_;
};

double misfit(const Loads& departures, const Loads& sigma) {
    double sum = 0.0;
    for (std::size_t i = 0; i < departures.size(); ++i) {
        const double z = departures[i] / sigma[i];
        sum += z * z;
    }
    return std::sqrt(sum / static_cast<double>(departures.size()));
}

/// Weighted least squares for the heights under a few supports; nothing where they cannot be told apart.
struct Fit {
    std::vector<Shim> shims;
    double misfit = 0.0;
};

std::optional<Fit> fit(const std::vector<int>& supports, const std::vector<Loads>& slopes,
                       const Loads& departures, const Loads& sigma) {
    const std::size_t n = supports.size();
    std::array<std::array<double, 2 * most_shims + 1>, most_shims> a{};
    for (std::size_t r = 0; r < n; ++r) {
        const Loads& by = slopes[static_cast<std::size_t>(supports[r])];
        for (std::size_t i = 0; i < departures.size(); ++i) {
            const double w = 1.0 / (sigma[i] * sigma[i]);
            for (std::size_t c = 0; c < n; ++c)
                a[r][c] += w * by[i] * slopes[static_cast<std::size_t>(supports[c])][i];
            a[r][2 * n] -= w * by[i] * departures[i];
        }
        a[r][n + r] = 1.0;
    }
    double largest = 0.0;
    for (std::size_t r = 0; r < n; ++r) largest = std::max(largest, a[r][r]);
    for (std::size_t p = 0; p < n; ++p) {
        if (!(a[p][p] > 1.0e-6 * largest)) return std::nullopt;
        for (std::size_t r = 0; r < n; ++r) {
            if (r == p) continue;
            const double times = a[r][p] / a[p][p];
            for (std::size_t c = 0; c <= 2 * n; ++c) a[r][c] -= times * a[p][c];
        }
    }
    Fit found;
    Loads left = departures;
    for (std::size_t r = 0; r < n; ++r) {
        const double mm = std::round(a[r][2 * n] / a[r][r] / shim_step_mm) * shim_step_mm;
        // A shim only lifts.
        if (!(mm > 0.0) || mm > thickest_mm) return std::nullopt;
        found.shims.push_back({supports[r], mm, std::sqrt(a[r][n + r] / a[r][r])});
        for (std::size_t i = 0; i < left.size(); ++i)
            left[i] += mm * slopes[static_cast<std::size_t>(supports[r])][i];
    }
    found.misfit = misfit(left, sigma);
    return found;
}

/// Hanging supports that `shim` would load by more than they are known to.
std::vector<int> gaps_of(const Shim& shim, const Loads& by_mm, const ShimPlan& plan) {
    std::vector<int> gaps;
    for (const int support : plan.hanging) {
        const auto at = static_cast<std::size_t>(support);
        if (shim.mm * by_mm[at] > plan.loads[at].uncertainty_kg) gaps.push_back(support);
    }
    return gaps;
}

void take_better(std::optional<Fit>& best, std::optional<Fit> candidate) {
    if (candidate && (!best || candidate->misfit < best->misfit - 1.0e-9)) best = std::move(candidate);
}

/// Best of all ways with so many shims.
std::optional<Fit> best_of(std::size_t count, int supports, const std::vector<Loads>& slopes,
                           const Loads& departures, const Loads& sigma) {
    std::optional<Fit> best;
    for (int i = 0; i < supports; ++i) {
        if (count == 1) take_better(best, fit({i}, slopes, departures, sigma));
        for (int j = i + 1; count >= 2 && j < supports; ++j) {
            if (count == 2) take_better(best, fit({i, j}, slopes, departures, sigma));
            for (int k = j + 1; count >= 3 && k < supports; ++k)
                take_better(best, fit({i, j, k}, slopes, departures, sigma));
        }
    }
    return best;
}

Bearing bearing_of(const SupportLoad& load, double sigma) {
    if (load.carried_kg <= clearly * load.uncertainty_kg) return Bearing::free;
    const double departure = load.carried_kg - load.expected_kg;
    if (std::fabs(departure) <= clearly * sigma) return Bearing::fair;
    return departure > 0.0 ? Bearing::heavy : Bearing::light;
}

}  // namespace

std::optional<ShimPlan> plan_shims(const files::SheetFile& sheet, int& missing) {
    const scale::Description& d = sheet.scale.description;
    const Statics statics(d);
    const Loads expected = statics.with({});
    ShimPlan plan;
    Loads departures;
    Loads sigma;
    for (int i = 0; i < d.cell_count(); ++i) {
        const auto at = static_cast<unsigned>(i);
        const auto ratio = empty_ratio(sheet, i);
        if (!ratio) {
            missing = i + 1;
            return std::nullopt;
        }
        // Rated at the box end of the cable, which is where it was read.
        const double kg_per_ratio = d.cells[at].capacity_kg / d.cells[at].rated_output_V_per_V;
        SupportLoad load{i, *ratio * kg_per_ratio};
        load.uncertainty_kg = even_to_standard * d.cells[at].zero_tolerance * d.cells[at].capacity_kg;
        load.expected_kg = expected[at];
        const double spread = expected_scatter * load.expected_kg;
        sigma.push_back(std::sqrt(load.uncertainty_kg * load.uncertainty_kg + spread * spread));
        departures.push_back(load.carried_kg - load.expected_kg);
        load.bearing = bearing_of(load, sigma.back());
        if (load.bearing == Bearing::free) plan.hanging.push_back(i);
        plan.loads.push_back(load);
    }
    plan.misfit_before = plan.misfit_after = misfit(departures, sigma);
    // A deck moves until its gaps are filled, and what it then does to the others no signal foretells.
    if (plan.hanging.empty())
        for (const SupportLoad& load : plan.loads) plan.after_kg.push_back(load.carried_kg);
    const bool any = std::any_of(plan.loads.begin(), plan.loads.end(),
                                 [](const SupportLoad& load) { return load.bearing != Bearing::fair; });
    if (!any) return plan;

    const std::vector<Loads> slopes = statics.by_mm();
    std::optional<Fit> chosen;
    for (std::size_t count = 1; count <= most_shims; ++count) {
        if (chosen && chosen->misfit <= good_enough) break;
        std::optional<Fit> best = best_of(count, d.cell_count(), slopes, departures, sigma);
        const double before = chosen ? chosen->misfit : plan.misfit_before;
        if (best && best->misfit < worth_it * before) chosen = std::move(best);
    }
    if (chosen) {
        plan.shims = chosen->shims;
        plan.misfit_after = chosen->misfit;
        for (Shim& shim : plan.shims) {
            const Loads& by_mm = slopes[static_cast<std::size_t>(shim.support)];
            shim.gaps = gaps_of(shim, by_mm, plan);
            for (std::size_t i = 0; i < plan.after_kg.size(); ++i) plan.after_kg[i] += shim.mm * by_mm[i];
        }
    }
    plan.unexplained = plan.misfit_after > clearly;
    return plan;
}

}  // namespace cornerbench::commissioning
