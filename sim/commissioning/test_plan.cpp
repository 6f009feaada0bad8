#include "sim/commissioning/test_plan.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

#include <spdlog/fmt/fmt.h>

#include "sim/field/corner_test.h"
#include "sim/files/mass_unit.h"
#include "sim/files/range.h"

namespace cornerbench::commissioning {

using files::PlaceKind;
using files::TestKind;
using files::TestLine;

namespace {

/// What discrimination puts on, with an error of the scale, reaches no farther than this past a load.
constexpr double room_divisions = 10.0;

/// Down to whole divisions, at least one.
double carried_kg(double kg, double step_kg) {
    return std::max(step_kg, std::floor(kg / step_kg + 1.0e-9) * step_kg);
}

class Planner {
  public:
    Planner(const files::ScaleFile& scale, const files::Standard& standard, const PlanSetting& setting)
        : scale_(scale), d_(scale.description), standard_(standard) {
        if (standard.tests.substitution) substitution_ = standard.tests.substitution->of(d_);
        plan_.sheet.scale = scale;
        plan_.sheet.stage = setting.stage;
        const double asked = setting.weights_kg > 0.0 ? setting.weights_kg : largest_load_kg(d_.max_kg);
        weights_kg_ = std::min(carried_kg(asked, d_.division_kg), d_.max_kg);
        plan_.sheet.weights_kg = weights_kg_;
    }

    PlannedTest plan() {
        check_weights();
        add_zero();
        add_repeatability();
        add_eccentricity();
        add_zero();
        add_weighing();
        add_zero_return();
        add_discrimination();
        return std::move(plan_);
    }

  private:
    std::string words(double kg) const {
        return files::grouped_text(kg / scale::kilograms_in(d_.unit)) + " " +
               std::string(files::unit_name(d_.unit));
    }

    double max_share(double share) const { return carried_kg(share * d_.max_kg, d_.division_kg); }

    /// Largest load of the test with so many weights.
    double largest_load_kg(double weights_kg) const {
        const double asked = substitution_ ? substitution_->least_test_load_kg(d_.max_kg) : d_.max_kg;
        return carried_kg(std::min(d_.max_kg, std::max(asked, weights_kg)), d_.division_kg);
    }

    void check_weights() {
        const auto& rule = substitution_;
        if (!rule) return;
        const double least = rule->least_weights_kg(d_.max_kg, 0.0);
        const double usual = std::max(rule->own_share * d_.max_kg, rule->own_least_kg);
        if (weights_kg_ >= usual * (1.0 - 1.0e-9)) return;
        if (weights_kg_ < least * (1.0 - 1.0e-9)) {
            plan_.weights_suffice = false;
            plan_.remarks.push_back(fmt::format(
                "{} of test weights are fewer than {} asks ({}, at least {}): the record will not satisfy it",
                words(weights_kg_), standard_.name, rule->clause, words(least)));
            return;
        }
        plan_.remarks.push_back(fmt::format(
            "{} of test weights are enough only if weighings repeat well ({}): up to {:g} d for {:.3g} % of "
            "Max; "
            "look at the repeatability before the loads go on",
            words(weights_kg_), rule->clause, allowed_repeatability(), 100.0 * weights_kg_ / d_.max_kg));
    }

    double allowed_repeatability() const {
        double most = 0.0;
        for (const auto& each : substitution_->relaxed)
            if (weights_kg_ >= each.own_share * d_.max_kg * (1.0 - 1.0e-9))
                most = std::max(most, each.repeatability_divisions);
        return most;
    }

    void add(TestLine line) {
        const bool loaded = line.place.kind != PlaceKind::empty;
        const bool stays = !plan_.sheet.lines.empty() && line.test == TestKind::weighing &&
                           plan_.sheet.lines.back().load_kg == line.load_kg;
        if (loaded && !stays) ++plan_.moves;
        std::string limit;
        switch (line.test) {
            case TestKind::zero:
            case TestKind::substitution:
                break;
            case TestKind::repeatability:
                limit = fmt::format(
                    "limit {}, apart {}", words(limit_kg(standard_, scale_, plan_.sheet.stage, line.load_kg)),
                    words(repeatability_limit_kg(standard_, scale_, plan_.sheet.stage, line.load_kg)));
                break;
            case TestKind::eccentricity:
                limit = "limit " + words(limit_kg(standard_, scale_, plan_.sheet.stage, line.load_kg));
                if (standard_.corner_spread &&
                    (line.place.kind == PlaceKind::support || line.place.kind == PlaceKind::section))
                    limit += ", apart " + words(corner_spread_limit_kg(standard_, scale_, plan_.sheet.stage,
                                                                       line.load_kg));
                break;
            case TestKind::weighing:
                limit = "limit " + words(limit_kg(standard_, scale_, plan_.sheet.stage, line.load_kg));
                break;
            case TestKind::zero_return:
                limit = "limit " + words(zero_return_limit_kg(standard_, scale_, plan_.sheet.stage));
                break;
            case TestKind::discrimination:
                limit = discrimination_words(line.load_kg);
                break;
        }
        plan_.limits.push_back(limit);
        plan_.sheet.lines.push_back(std::move(line));
    }

    std::string discrimination_words(double load_kg) const {
        const auto& rule = *standard_.tests.discrimination;
        const double division = d_.division_at_kg(load_kg);
        return fmt::format("{} put on: at least {} more", words(rule.extra_divisions * division),
                           words(rule.change_divisions * division));
    }

    void add_zero() { add({TestKind::zero, {}}); }

    void add_repeatability() {
        const auto& rule = standard_.tests.repeatability;
        if (!rule) return;
        std::set<double> loads;
        for (const double share : rule->shares) loads.insert(std::min(max_share(share), weights_kg_));
        for (const double load : loads) {
            for (int i = 0; i < rule->times; ++i)
                add({TestKind::repeatability, {PlaceKind::spread, 0}, load});
        }
        if (loads.size() < rule->shares.size() || *loads.rbegin() < max_share(rule->shares.back()))
            plan_.remarks.push_back(
                fmt::format("repeatability is tested with {}, all the test weights there are ({})",
                            words(*loads.rbegin()), rule->clause));
    }

    void add_eccentricity() {
        const double asked = field::standard_test_kg(standard_, d_);
        const double load = carried_kg(std::min(asked, weights_kg_), d_.division_kg);
        if (load < asked * (1.0 - 1.0e-9))
            plan_.remarks.push_back(fmt::format("corners are tested with {} where {} asks {} ({})",
                                                words(load), standard_.name, words(asked),
                                                standard_.corner_clause));
        // Once round, then back along the middle: the weights never go far.
        for (int i = 0; i < d_.cell_count(); ++i)
            add({TestKind::eccentricity, {PlaceKind::support, i}, load});
        for (int j = 0; j < d_.deck.sections; ++j) {
            add({TestKind::eccentricity, {PlaceKind::section, j}, load});
            if (j + 1 < d_.deck.sections) add({TestKind::eccentricity, {PlaceKind::midspan, j}, load});
        }
        add_pattern();
        add_rolling();
    }

    /// The heaviest load that may stand on the standard's test pattern, at each section.
    void add_pattern() {
        const auto& rule = standard_.tests.section;
        if (!rule) return;
        const double clc_kg = d_.max_kg / (d_.deck.sections - rule->sections_less);
        const double most = rule->clc_share * clc_kg;
        const double load = carried_kg(std::min(most, weights_kg_), d_.division_kg);
        for (int j = 0; j < d_.deck.sections; ++j)
            add({TestKind::eccentricity, {PlaceKind::pattern, j}, load});
        plan_.how.push_back(fmt::format(
            "test pattern: the weights within {:g} m along the deck by {:g} m across it, at each section, "
            "and "
            "never more than {:g} % of the concentrated load capacity on the scale's plate; without a plate "
            "Max over {} sections less {:g} is taken, so {} ({})",
            rule->pattern_m, std::min(rule->most_width_m, d_.deck.width_m), 100.0 * rule->clc_share,
            d_.deck.sections, rule->sections_less, words(carried_kg(most, d_.division_kg)), rule->clause));
    }

    void add_rolling() {
        if (!(standard_.tests.rolling_share > 0.0)) return;
        const double load = std::min(max_share(standard_.tests.rolling_share), weights_kg_);
        for (int i = 0; i < files::rolling_places; ++i)
            add({TestKind::eccentricity, {PlaceKind::rolling, i}, load});
        plan_.how.push_back(fmt::format(
            "rolling load: the heaviest that usually rolls over the deck, on close axles, at most {:g} % of "
            "Max; "
            "it stops at the left end, in the middle and at the right end ({}). Weights on wheels, or a "
            "vehicle whose mass is known: write that mass into load",
            100.0 * standard_.tests.rolling_share, standard_.tests.rolling_clause));
    }

    double least_load_kg() const {
        const double division = d_.division_at_kg(0.0);
        const auto* found = standard_.find_class(scale_.accuracy_class);
        return carried_kg(found->sizes.least_load_divisions * division, division);
    }

    std::vector<double> weighing_loads() const {
        const double largest = largest_load_kg(weights_kg_);
        std::set<double> loads;
        const auto offer = [&](double kg) {
            if (kg > 0.0 && kg <= largest * (1.0 + 1.0e-9))
                loads.insert(carried_kg(kg, d_.division_at_kg(kg)));
        };
        offer(least_load_kg());
        for (const double kg : limit_changes_kg(standard_, scale_)) offer(kg);
        offer(0.5 * d_.max_kg);
        offer(largest);
        const int fewest = standard_.tests.weighing ? standard_.tests.weighing->fewest_loads : 5;
        for (double parts = 4.0; static_cast<int>(loads.size()) < fewest && parts <= 16.0; parts += 1.0)
            offer(largest * (parts - 1.0) / parts);
        return {loads.begin(), loads.end()};
    }

    void add_weighing() {
        std::vector<TestLine> going_up;
        double substituted = 0.0;
        for (const double load : weighing_loads()) {
            while (load - substituted > weights_kg_ * (1.0 + 1.0e-9)) {
                const double full = substituted + weights_kg_;
                if (going_up.empty() || going_up.back().load_kg < full * (1.0 - 1.0e-9))
                    going_up.push_back({TestKind::weighing, {PlaceKind::spread, 0}, full, substituted});
                substituted = full;
                going_up.push_back({TestKind::substitution, {PlaceKind::spread, 0}, full, substituted});
            }
            going_up.push_back({TestKind::weighing, {PlaceKind::spread, 0}, load, substituted});
        }
        for (const TestLine& line : going_up) add(line);
        if (substituted > 0.0)
            plan_.remarks.push_back(
                "substitution: where a line says so, take the weights off and put any load on until the "
                "display "
                "and its small weights are as they were with the weights; then the weights come on top");
        if (!standard_.tests.weighing || !standard_.tests.weighing->decreasing) return;
        // Coming down, only such loads as need nothing put on meanwhile: weights off the last substitution
        // load, then one substitution load after the other.
        std::set<double> levels;
        for (const TestLine& line : going_up)
            if (line.test == TestKind::substitution) levels.insert(line.load_kg);
        for (std::size_t i = going_up.size(); i-- > 1;) {
            TestLine line = going_up[i - 1];
            if (line.test != TestKind::weighing) continue;
            const bool level = levels.count(line.load_kg) > 0;
            if (!level && line.load_kg < substituted) continue;
            line.substitute_kg = level ? line.load_kg : substituted;
            line.decreasing = true;
            add(line);
        }
    }

    void add_zero_return() {
        const auto& rule = standard_.tests.zero_return;
        if (!rule) return;
        add({TestKind::zero_return, {}});
        if (rule->loaded_min > 0.0)
            plan_.how.push_back(fmt::format(
                "return to zero: before the loads come off, one as near to Max as there is has stood on the "
                "deck for {:g} minutes; read as soon as the display is still ({})",
                rule->loaded_min, rule->clause));
    }

    void add_discrimination() {
        const auto& rule = standard_.tests.discrimination;
        if (!rule) return;
        std::set<double> loads{below_range_end_kg(least_load_kg()),
                               below_range_end_kg(std::min(weights_kg_, max_share(0.5)))};
        if (weights_kg_ >= d_.max_kg * (1.0 - 1.0e-9)) loads.insert(d_.max_kg - 2.0 * d_.division_kg);
        for (const double load : loads) add({TestKind::discrimination, {PlaceKind::spread, 0}, load});
        plan_.how.push_back(fmt::format(
            "discrimination: with the load on, ten or more small weights of a tenth of a division on top; "
            "take them off one by one until the display falls by a division, and write what it then shows "
            "into indication. {} {:g} d on gently and write after: at least {:g} d above indication, {:g} d "
            "above what was shown before it fell ({})",
            rule->one_back ? "Put one of them back, then" : "Then put", rule->extra_divisions,
            rule->change_divisions, rule->change_divisions - 1.0, rule->clause));
    }

    /// The load, or one so far below the end of its range that small weights leave the division as it is.
    double below_range_end_kg(double kg) const {
        const double division = d_.division_at_kg(kg);
        for (const scale::PartialRange& range : d_.finer) {
            const double last_kg = range.max_kg - room_divisions * range.division_kg;
            if (range.division_kg == division && range.max_kg > 0.0 && last_kg > 0.0)
                return std::min(kg, carried_kg(last_kg, division));
        }
        return kg;
    }

    const files::ScaleFile& scale_;
    const scale::Description& d_;
    const files::Standard& standard_;
    std::optional<files::SubstitutionRule> substitution_;
    double weights_kg_ = 0.0;
    PlannedTest plan_;
};

}  // namespace

PlannedTest plan_tests(const files::ScaleFile& scale, const files::Standard& standard,
                       const PlanSetting& setting) {
    return Planner(scale, standard, setting).plan();
}

}  // namespace cornerbench::commissioning
