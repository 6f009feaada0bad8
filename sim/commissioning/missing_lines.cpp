#include "sim/commissioning/missing_lines.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <set>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/commissioning/limits.h"
#include "sim/commissioning/survey_words.h"

namespace cornerbench::commissioning {

using files::PlaceKind;
using files::TestKind;
using files::TestLine;

namespace {

/// Loads are made of whole weights: so much below what is asked counts as it. Our own choice.
constexpr double whole_weights_share = 0.05;
/// "At or near" a load where the limit changes (OIML R 76-1:2006, A.4.4.1, from memory): within this; our own
/// choice.
constexpr double near_share = 0.1;
/// Near Min is a load of up to so many Min; our own choice.
constexpr double near_least = 1.5;
constexpr double slack = 1.0e-6;

bool reaches(double load_kg, double asked_kg) {
    return load_kg >= asked_kg * (1.0 - whole_weights_share);
}

void append(std::string& list, const std::string& text, std::string_view between) {
    if (!list.empty()) list += between;
    list += text;
}

class Search {
  public:
    Search(const files::TestSheet& sheet, const files::Standard& standard)
        : sheet_(sheet), standard_(standard), d_(sheet.scale.description) {
        corner_kg_ = scale::corner_test_kg(standard.corner_rule, d_.max_kg, d_.cell_count());
    }

    MissingLines find() const {
        return {weighing(), corners(), pattern(), rolling(), repeatability(), untested(), weights()};
    }

  private:
    std::string words(double kg) const { return survey_words(kg, d_); }

    /// With the weights at hand no heavier load can be made without substitution.
    double at_hand(double kg) const { return sheet_.weights_kg > 0.0 ? std::min(kg, sheet_.weights_kg) : kg; }

    /// Places of one kind that are not tested with `asked_kg` at least.
    struct Places {
        int short_of = 0;
        std::string words{};
    };

    Places places(PlaceKind kind, const char* noun, int count, double asked_kg) const {
        std::vector<double> heaviest(static_cast<std::size_t>(count), 0.0);
        for (const TestLine& line : sheet_.lines) {
            if (line.test != TestKind::eccentricity || line.place.kind != kind) continue;
            double& most = heaviest[static_cast<unsigned>(line.place.index)];
            most = std::max(most, line.load_kg);
        }
        Places found;
        std::string empty;
        std::string light;
        for (int i = 0; i < count; ++i) {
            const double most = heaviest[static_cast<unsigned>(i)];
            if (reaches(most, asked_kg)) continue;
            ++found.short_of;
            append(most > 0.0 ? light : empty, std::to_string(i + 1), ", ");
        }
        if (!empty.empty()) found.words = fmt::format("not tested: {} {}", noun, empty);
        if (!light.empty())
            append(found.words,
                   fmt::format("tested with less than the {} that are asked: {} {}", words(asked_kg), noun,
                               light),
                   "; ");
        return found;
    }

    /// A standard that shares Max out among the supports asks its load on each of them (OIML R 76-1:2006,
    /// 3.6.2.1, 3.6.2.2); one that asks a share of Max is met section by section as well (NIST Handbook 44,
    /// 2.20, N.1.3.3, from memory).
    std::string corners() const {
        const Places supports = places(PlaceKind::support, "support", d_.cell_count(), corner_kg_);
        if (!(standard_.corner_rule.share_of_max > 0.0)) return supports.words;
        const Places sections = places(PlaceKind::section, "section", d_.deck.sections, corner_kg_);
        return sections.short_of <= supports.short_of ? sections.words : supports.words;
    }

    /// Its load is a heaviest one; less than at a corner would tell nothing more. Our own choice.
    std::string pattern() const {
        if (!standard_.tests.section) return "";
        return places(PlaceKind::pattern, "section", d_.deck.sections, at_hand(corner_kg_)).words;
    }

    /// As with the pattern: what usually rolls over the deck is known to nobody here.
    std::string rolling() const {
        if (!(standard_.tests.rolling_share > 0.0)) return "";
        return places(PlaceKind::rolling, "rolling", files::rolling_places, at_hand(corner_kg_)).words;
    }

    std::string repeatability() const {
        const auto& rule = standard_.tests.repeatability;
        if (!rule) return "";
        std::map<double, int> times;
        for (const TestLine& line : sheet_.lines)
            if (line.test == TestKind::repeatability) ++times[line.load_kg];
        std::vector<double> asked;
        for (const double share : rule->shares) asked.push_back(at_hand(share * d_.max_kg));
        // The heaviest first, each with a load of its own; what the weights cut down to one load is one.
        std::sort(asked.begin(), asked.end(), std::greater<>());
        asked.erase(std::unique(asked.begin(), asked.end(),
                                [](double a, double b) { return std::fabs(a - b) <= slack * a; }),
                    asked.end());
        std::string missing;
        for (const double load : asked) {
            auto best = times.end();
            for (auto each = times.begin(); each != times.end(); ++each)
                if (reaches(each->first, load) && (best == times.end() || each->second > best->second))
                    best = each;
            const int weighed = best == times.end() ? 0 : best->second;
            if (best != times.end()) times.erase(best);
            if (weighed >= rule->times) continue;
            append(missing,
                   fmt::format("{} of {} weighings of {} or more", weighed, rule->times, words(load)), "; ");
        }
        return missing;
    }

    struct Loads {
        std::set<double> up{};
        std::set<double> down{};
        bool substituted = false;
    };

    Loads weighed() const {
        Loads loads;
        for (const TestLine& line : sheet_.lines) {
            if (line.test != TestKind::weighing) continue;
            (line.decreasing ? loads.down : loads.up).insert(line.load_kg);
            loads.substituted = loads.substituted || line.substitute_kg > 0.0;
        }
        return loads;
    }

    std::string weighing() const {
        const Loads loads = weighed();
        const auto& rule = standard_.tests.weighing;
        std::string missing;
        if (rule) {
            if (static_cast<int>(loads.up.size()) < rule->fewest_loads)
                append(missing, fmt::format("{} of {} loads going up", loads.up.size(), rule->fewest_loads),
                       "; ");
            tell_far_loads(loads, missing);
        }
        tell_largest(loads, missing);
        if (!rule || !rule->decreasing) return missing;
        // From the largest load down. Of substitution loads only what can be had without putting any back:
        // how many that is depends on the weights.
        const int fewest = loads.substituted ? 1 : std::max(1, rule->fewest_loads - 1);
        if (static_cast<int>(loads.down.size()) < fewest)
            append(missing, fmt::format("{} of {} loads coming down", loads.down.size(), fewest), "; ");
        return missing;
    }

    double largest_asked_kg() const {
        const auto& rule = standard_.tests.substitution;
        return rule ? rule->of(d_).least_test_load_kg(d_.max_kg) : d_.max_kg;
    }

    /// Min and the loads at which the limit of error or the division changes.
    void tell_far_loads(const Loads& loads, std::string& missing) const {
        const files::AccuracyClass* found = standard_.find_class(sheet_.scale.accuracy_class);
        if (found == nullptr) return;
        const double least = std::max(found->sizes.least_load_divisions, 1.0) * d_.division_at_kg(0.0);
        if (loads.up.empty() ||
            *loads.up.begin() > std::max(near_least * least, d_.division_kg) * (1.0 + slack))
            append(missing, "no load near Min, " + words(least), "; ");
        for (const double kg : limit_changes_kg(standard_, sheet_.scale)) {
            if (kg > largest_asked_kg() * (1.0 + slack)) continue;
            const bool met = std::any_of(loads.up.begin(), loads.up.end(), [&](double load) {
                return std::fabs(load - kg) <= near_share * kg * (1.0 + slack);
            });
            if (!met) append(missing, "no load near " + words(kg) + ", where the limit changes", "; ");
        }
    }

    void tell_largest(const Loads& loads, std::string& missing) const {
        const double asked = largest_asked_kg();
        if (!standard_.tests.weighing && !standard_.tests.substitution) return;
        if (loads.up.empty() || *loads.up.rbegin() > asked - d_.division_kg * (1.0 + slack)) return;
        const auto& rule = standard_.tests.substitution;
        append(missing,
               fmt::format("the largest load, {}, is below the {:g} % of Max that {} asks{}",
                           words(*loads.up.rbegin()), 100.0 * asked / d_.max_kg, standard_.name,
                           rule ? " (" + rule->clause + ")" : ""),
               "; ");
    }

    std::string untested() const {
        const files::TestRules& rules = standard_.tests;
        std::string list;
        const auto ask = [&](bool asked, std::string_view name, auto&& belongs) {
            if (asked && std::none_of(sheet_.lines.begin(), sheet_.lines.end(), belongs))
                append(list, std::string(name), ", ");
        };
        const auto ask_kind = [&](bool asked, TestKind kind) {
            ask(asked, files::test_words[static_cast<unsigned>(kind)],
                [kind](const TestLine& line) { return line.test == kind; });
        };
        const auto at = [](PlaceKind kind) {
            return [kind](const TestLine& line) {
                return line.test == TestKind::eccentricity && line.place.kind == kind;
            };
        };
        ask_kind(true, TestKind::weighing);
        ask(true, files::test_words[static_cast<unsigned>(TestKind::eccentricity)], [](const TestLine& line) {
            return line.test == TestKind::eccentricity && line.place.kind != PlaceKind::rolling &&
                   line.place.kind != PlaceKind::pattern;
        });
        ask(rules.section.has_value(), "test pattern", at(PlaceKind::pattern));
        ask(rules.rolling_share > 0.0, "rolling load", at(PlaceKind::rolling));
        ask_kind(rules.repeatability.has_value(), TestKind::repeatability);
        ask_kind(rules.zero_return.has_value(), TestKind::zero_return);
        ask_kind(rules.discrimination.has_value(), TestKind::discrimination);
        return list;
    }

    /// What rolls may be a vehicle whose mass is known, and no test weight.
    std::string weights() const {
        std::size_t worst = 0;
        double most = 0.0;
        for (std::size_t i = 0; i < sheet_.lines.size(); ++i) {
            const TestLine& line = sheet_.lines[i];
            const double own = line.load_kg - line.substitute_kg;
            if (line.place.kind == PlaceKind::rolling || own <= most) continue;
            most = own;
            worst = i;
        }
        if (most <= sheet_.weights_kg * (1.0 + slack)) return "";
        if (!(sheet_.weights_kg > 0.0))
            return "the sheet does not say under weights what all test weights on site come to";
        return fmt::format(
            "{} of test weights stand on the deck in line {}; all that are on site, by weights, "
            "come to {}: what stands there beside them goes into substitute",
            words(most), worst + 1, words(sheet_.weights_kg));
    }

    const files::TestSheet& sheet_;
    const files::Standard& standard_;
    const scale::Description& d_;
    double corner_kg_ = 0.0;
};

}  // namespace

MissingLines missing_lines(const files::TestSheet& sheet, const files::Standard& standard) {
    return Search(sheet, standard).find();
}

}  // namespace cornerbench::commissioning
