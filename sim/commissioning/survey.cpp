#include "sim/commissioning/survey.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <spdlog/fmt/fmt.h>

#include "sim/commissioning/judged_numbers.h"
#include "sim/commissioning/limits.h"
#include "sim/commissioning/survey_errors.h"
#include "sim/files/mass_unit.h"
#include "sim/files/range.h"

namespace cornerbench::commissioning {

using files::PlaceKind;
using files::TestKind;
using files::TestLine;

namespace {

constexpr double limit_slack = 1.0e-9;
constexpr double most_uncertainty_share = 1.0 / 3.0;

class Judge {
  public:
    Judge(const files::TestSheet& sheet, const files::Standard& standard)
        : sheet_(sheet),
          standard_(standard),
          d_(sheet.scale.description),
          forms_(sheet_forms(sheet, !standard.before_rounding)) {
        out_.repeatability_kg = forms_.repeatability_kg;
    }

    Survey judge() {
        judge_lines();
        judge_kind(TestKind::weighing, "Weighing, increasing and decreasing", weighing_clause());
        judge_eccentricity();
        judge_corner_spread();
        judge_repeatability();
        judge_zero_return();
        judge_discrimination();
        judge_zero_setting();
        find_hysteresis();
        tell_untested();
        check_weights();
        tell_simple_acceptance();
        return std::move(out_);
    }

  private:
    Judged against(const LinearForm& error, double limit, double load_kg) const {
        return judged_of(error, limit, turning_point_kg(standard_, limit, d_.division_at_kg(load_kg)));
    }

    std::string words(double kg) const {
        // One place more than the display has.
        const double unit_kg = scale::kilograms_in(d_.unit);
        const double tenth = 0.1 * d_.division_at_kg(0.0) / unit_kg;
        const double step = std::min(1.0, std::pow(10.0, std::floor(std::log10(tenth) + 1.0e-9)));
        return files::grouped_text(std::round(kg / unit_kg / step) * step) + " " +
               std::string(files::unit_name(d_.unit));
    }

    std::string line_words(std::size_t i) const {
        const TestLine& line = sheet_.lines[i];
        return fmt::format("line {}: {}{}{}", i + 1, files::place_text(line.place),
                           line.load_kg > 0.0 ? ", " + words(line.load_kg) : "",
                           line.decreasing ? ", decreasing" : "");
    }

    std::string weighing_clause() const {
        const std::string stage = standard_.stage(sheet_.stage).clause;
        return standard_.tests.weighing ? stage + "; " + standard_.tests.weighing->clause : stage;
    }

    void judge_lines() {
        for (std::size_t i = 0; i < sheet_.lines.size(); ++i) {
            const TestLine& line = sheet_.lines[i];
            const LineForms& forms = forms_.lines[i];
            LineResult result;
            result.line = static_cast<int>(i);
            if (forms.before_rounding) result.before_rounding_kg = forms.before_rounding->value();
            if (forms.load) result.load_kg = forms.load->value();
            result.judged = line.test == TestKind::weighing || line.test == TestKind::eccentricity ||
                            line.test == TestKind::repeatability;
            const double limit =
                result.judged ? limit_kg(standard_, sheet_.scale, sheet_.stage, line.load_kg) : 0.0;
            if (forms.error) {
                result.error = against(*forms.error, limit, line.load_kg);
                if (!result.judged) result.error.verdict = Verdict::not_done;
            } else if (result.judged) {
                result.error.limit = limit;
                if (line.shown != diagnosis::Shown::value) result.error.verdict = Verdict::fails;
            }
            if (result.judged && line.test == TestKind::eccentricity &&
                line.place.kind == PlaceKind::support && result.error.verdict == Verdict::fails)
                out_.corners_off.push_back(line.place.index);
            out_.lines.push_back(result);
        }
    }

    /// A rolling load and a test pattern have clauses of their own where the standard gives them one.
    const std::string& eccentricity_clause(PlaceKind place) const {
        const files::TestRules& rules = standard_.tests;
        if (place == PlaceKind::rolling && !rules.rolling_clause.empty()) return rules.rolling_clause;
        if (place == PlaceKind::pattern && rules.section) return rules.section->clause;
        return standard_.corner_clause;
    }

    void judge_eccentricity() {
        const auto judge = [&](const char* title, PlaceKind example, auto&& belongs) {
            judge_where(title, eccentricity_clause(example), [&](const TestLine& line) {
                return line.test == TestKind::eccentricity && belongs(line.place.kind);
            });
        };
        const auto is = [](PlaceKind asked) { return [asked](PlaceKind kind) { return kind == asked; }; };
        judge("Eccentric loads", PlaceKind::support,
              [](PlaceKind kind) { return kind != PlaceKind::rolling && kind != PlaceKind::pattern; });
        judge("Test pattern", PlaceKind::pattern, is(PlaceKind::pattern));
        judge("Rolling load", PlaceKind::rolling, is(PlaceKind::rolling));
    }

    void judge_kind(TestKind kind, const char* title, const std::string& clause) {
        judge_where(title, clause, [kind](const TestLine& line) { return line.test == kind; });
    }

    template <class Belongs>
    void judge_where(const char* title, const std::string& clause, Belongs&& belongs) {
        ClauseResult result{title, clause};
        for (std::size_t i = 0; i < sheet_.lines.size(); ++i) {
            if (!belongs(sheet_.lines[i])) continue;
            take(result, out_.lines[i].error, line_words(i), sheet_.lines[i].shown);
        }
        finish(std::move(result));
    }

    /// One more number that bears on a clause.
    void take(ClauseResult& result, const Judged& judged, const std::string& where,
              diagnosis::Shown shown = diagnosis::Shown::value) {
        ++asked_;
        if (judged.verdict == Verdict::not_done) return;
        ++done_;
        if (shown != diagnosis::Shown::value) {
            result.verdict = Verdict::fails;
            result.worst.reset();
            result.words = where + ": no weight is shown";
            no_weight_ = true;
            return;
        }
        if (no_weight_ || (result.worst && badness(judged) <= badness(*result.worst))) return;
        result.worst = judged;
        result.verdict = judged.verdict;
        result.words = where;
    }

    void finish(ClauseResult result) {
        if (asked_ > 0) {
            if (done_ < asked_ && result.verdict != Verdict::fails) {
                result.words = fmt::format("{} of {} lines are not read", asked_ - done_, asked_);
                if (done_ == 0 || result.verdict == Verdict::passes) result.verdict = Verdict::not_done;
            }
            out_.clauses.push_back(std::move(result));
        }
        asked_ = done_ = 0;
        no_weight_ = false;
    }

    void judge_corner_spread() {
        if (!standard_.corner_spread) return;
        ClauseResult result{"Spread of the corner round and of the sections", standard_.corner_clause};
        for (const PlaceKind kind : {PlaceKind::support, PlaceKind::section}) {
            std::vector<std::size_t> lines;
            double load = 0.0;
            for (std::size_t i = 0; i < sheet_.lines.size(); ++i) {
                const TestLine& line = sheet_.lines[i];
                if (line.test != TestKind::eccentricity || line.place.kind != kind) continue;
                lines.push_back(i);
                load = line.load_kg;
            }
            if (lines.empty()) continue;
            const double limit = corner_spread_limit_kg(standard_, sheet_.scale, sheet_.stage, load);
            take(result, spread_of(sheet_, forms_, lines, limit, !standard_.before_rounding),
                 kind == PlaceKind::support ? "supports" : "sections");
        }
        finish(std::move(result));
    }

    void judge_repeatability() {
        const auto& rule = standard_.tests.repeatability;
        if (!rule) return;
        std::map<double, std::vector<std::size_t>> by_load;
        for (std::size_t i = 0; i < sheet_.lines.size(); ++i)
            if (sheet_.lines[i].test == TestKind::repeatability)
                by_load[sheet_.lines[i].load_kg].push_back(i);
        ClauseResult result{"Repeatability", rule->clause};
        for (const auto& [load, lines] : by_load) {
            const double limit = repeatability_limit_kg(standard_, sheet_.scale, sheet_.stage, load);
            auto shown = diagnosis::Shown::value;
            for (const std::size_t i : lines) {
                if (sheet_.lines[i].shown != diagnosis::Shown::value) shown = sheet_.lines[i].shown;
            }
            Judged judged = repeated_spread_of(sheet_, forms_, lines, limit, !standard_.before_rounding);
            if (shown != diagnosis::Shown::value) judged.verdict = Verdict::fails;
            take(result, judged, fmt::format("{} of {}", lines.size(), words(load)), shown);
            result_spread_d_ = std::max(result_spread_d_, judged.value / d_.division_at_kg(load));
        }
        finish(std::move(result));
        judge_kind(TestKind::repeatability, "Each of the repeated weighings",
                   standard_.stage(sheet_.stage).clause);
    }

    void judge_zero_return() {
        const auto& rule = standard_.tests.zero_return;
        if (!rule) return;
        ClauseResult result{"Return to zero", rule->clause};
        const double limit = zero_return_limit_kg(standard_, sheet_.scale, sheet_.stage);
        for (std::size_t i = 0; i < sheet_.lines.size(); ++i) {
            if (sheet_.lines[i].test != TestKind::zero_return) continue;
            const auto& form = forms_.lines[i].error;
            Judged judged;
            if (form) judged = against(*form, limit, 0.0);
            if (sheet_.lines[i].shown != diagnosis::Shown::value) judged.verdict = Verdict::fails;
            take(result, judged, line_words(i), sheet_.lines[i].shown);
        }
        finish(std::move(result));
    }

    void judge_discrimination() {
        const auto& rule = standard_.tests.discrimination;
        if (!rule) return;
        ClauseResult result{"Discrimination", rule->clause};
        for (std::size_t i = 0; i < sheet_.lines.size(); ++i) {
            const TestLine& line = sheet_.lines[i];
            if (line.test != TestKind::discrimination) continue;
            Judged judged;
            if (line.indication_kg && line.after_kg) {
                const double asked = rule->change_divisions * d_.division_at_kg(line.load_kg);
                const double change = *line.after_kg - *line.indication_kg;
                judged = {change, 0.0, asked,
                          change >= asked - limit_slack * (1.0 + asked) ? Verdict::passes : Verdict::fails,
                          asked};
            }
            if (line.shown != diagnosis::Shown::value) judged.verdict = Verdict::fails;
            ++asked_;
            if (judged.verdict == Verdict::not_done) continue;
            ++done_;
            if (!result.worst || judged.value - judged.limit < result.worst->value - result.worst->limit) {
                result.worst = judged;
                result.verdict = judged.verdict;
                result.words =
                    line_words(i) + (line.shown != diagnosis::Shown::value ? ": no weight is shown" : "");
            }
        }
        finish(std::move(result));
    }

    /// Told only when it fails: within what such weights can see, zero is never clearly right.
    void judge_zero_setting() {
        const double limit =
            standard_.rules(sheet_.scale.accuracy_class).zero_light_divisions * d_.division_at_kg(0.0);
        for (std::size_t i = 0; i < sheet_.lines.size(); ++i) {
            const TestLine& line = sheet_.lines[i];
            if (line.test != TestKind::zero) continue;
            Judged judged;
            if (forms_.lines[i].error) judged = judged_of(*forms_.lines[i].error, limit, limit);
            if (line.shown == diagnosis::Shown::value && judged.verdict != Verdict::fails) continue;
            ClauseResult result{"Zero setting", "the standard's range of zero setting", Verdict::fails};
            if (line.shown == diagnosis::Shown::value) result.worst = judged;
            result.words = line_words(i) + ": zero could not be set";
            out_.clauses.push_back(std::move(result));
            return;
        }
    }

    void find_hysteresis() {
        for (std::size_t i = 0; i < sheet_.lines.size(); ++i) {
            const TestLine& down = sheet_.lines[i];
            if (down.test != TestKind::weighing || !down.decreasing || !forms_.lines[i].error) continue;
            for (std::size_t j = 0; j < i; ++j) {
                const TestLine& up = sheet_.lines[j];
                if (up.test != TestKind::weighing || up.decreasing || !forms_.lines[j].error ||
                    std::fabs(up.load_kg - down.load_kg) > limit_slack * d_.max_kg)
                    continue;
                LinearForm difference = *forms_.lines[i].error;
                difference.plus(*forms_.lines[j].error, -1.0);
                out_.hysteresis.push_back(
                    {down.load_kg, difference.value(), coverage * difference.uncertainty()});
                break;
            }
        }
    }

    void tell_missing(const std::string& what) {
        out_.whole = false;
        out_.remarks.push_back(what);
    }

    /// A verdict is of what is on the sheet.
    void tell_untested() {
        const files::TestRules& rules = standard_.tests;
        std::string untested;
        const auto ask = [&](bool asked, TestKind kind) {
            for (const TestLine& line : sheet_.lines) asked = asked && line.test != kind;
            if (asked)
                untested += (untested.empty() ? "" : ", ") +
                            std::string(files::test_words[static_cast<unsigned>(kind)]);
        };
        ask(true, TestKind::weighing);
        ask(true, TestKind::eccentricity);
        ask(rules.repeatability.has_value(), TestKind::repeatability);
        ask(rules.zero_return.has_value(), TestKind::zero_return);
        ask(rules.discrimination.has_value(), TestKind::discrimination);
        if (!untested.empty()) tell_missing("not on this sheet, and so not judged: " + untested);
    }

    /// Many authorities accept an error within its limit when the uncertainty is no more than a third of it
    /// (simple acceptance; common practice, as OIML R 76-1:2006, 3.7.1 asks of test weights).
    void tell_simple_acceptance() {
        int uncertain = 0;
        int accepted = 0;
        for (const LineResult& line : out_.lines) {
            if (line.error.verdict != Verdict::uncertain) continue;
            ++uncertain;
            if (std::fabs(line.error.value) <= line.error.turns_at &&
                line.error.uncertainty <= most_uncertainty_share * line.error.limit)
                ++accepted;
        }
        if (uncertain > 0)
            out_.remarks.push_back(fmt::format(
                "uncertain lines: {}; of them {} would be accepted where an error within its limit "
                "is enough and the uncertainty is at most a third of it (common practice)",
                uncertain, accepted));
    }

    void check_weights() {
        const auto& rule = standard_.tests.substitution;
        bool substituted = false;
        double most = 0.0;
        for (const TestLine& line : sheet_.lines) {
            substituted = substituted || line.substitute_kg > 0.0;
            if (line.test == TestKind::weighing) most = std::max(most, line.load_kg);
        }
        if (!rule) return;
        if (most > 0.0 && most < rule->test_load_share * d_.max_kg * (1.0 - limit_slack))
            tell_missing(fmt::format("the largest load, {}, is below the {:g} % of Max that {} asks ({})",
                                     words(most), 100.0 * rule->test_load_share, standard_.name,
                                     rule->clause));
        if (!substituted) return;
        const double least =
            std::max(rule->least_own_share(result_spread_d_) * d_.max_kg, rule->own_least_kg);
        if (sheet_.weights_kg < least * (1.0 - limit_slack))
            tell_missing(
                fmt::format("substitution loads ask for at least {} of test weights with weighings that "
                            "repeat within {:.2g} d "
                            "({}); there are {}",
                            words(least), result_spread_d_, rule->clause, words(sheet_.weights_kg)));
    }

    const files::TestSheet& sheet_;
    const files::Standard& standard_;
    const scale::Description& d_;
    SheetForms forms_;
    Survey out_;
    int asked_ = 0;
    int done_ = 0;
    bool no_weight_ = false;
    double result_spread_d_ = 0.0;
};

}  // namespace

Survey judge_sheet(const files::TestSheet& sheet, const files::Standard& standard) {
    return Judge(sheet, standard).judge();
}

}  // namespace cornerbench::commissioning
