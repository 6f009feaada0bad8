#include "sim/commissioning/survey.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <spdlog/fmt/fmt.h>

#include "sim/commissioning/judged_numbers.h"
#include "sim/commissioning/limits.h"
#include "sim/commissioning/missing_lines.h"
#include "sim/commissioning/survey_errors.h"
#include "sim/commissioning/survey_words.h"

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
          forms_(sheet_forms(sheet, !standard.before_rounding)),
          missing_(missing_lines(sheet, standard)) {
        out_.repeatability_kg = forms_.repeatability_kg;
    }

    Survey judge() {
        judge_lines();
        judge_kind(TestKind::weighing, "Weighing, increasing and decreasing", weighing_clause(),
                   {missing_.weighing});
        judge_eccentricity();
        judge_corner_spread();
        judge_repeatability();
        judge_zero_return();
        judge_discrimination();
        judge_zero_setting();
        find_hysteresis();
        // A verdict is of what is on the sheet.
        if (!missing_.untested.empty())
            tell_missing("not on this sheet, and so not judged: " + missing_.untested);
        check_weights();
        tell_simple_acceptance();
        return std::move(out_);
    }

  private:
    /// What a clause's lines lack, and whether the remark on it is this clause's to make.
    struct Missing {
        std::string words{};
        bool tell = true;
    };

    Judged against(const LinearForm& error, double limit, double load_kg) const {
        return judged_of(error, limit, turning_point_kg(standard_, limit, d_.division_at_kg(load_kg)));
    }

    std::string words(double kg) const { return survey_words(kg, d_); }

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
                if (!line.shows_weight()) result.error.verdict = Verdict::fails;
            }
            if (line.test == TestKind::eccentricity && line.place.kind == PlaceKind::support &&
                result.error.verdict == Verdict::fails)
                add_corner(line.shows_weight() ? out_.corners_off : out_.corners_blank, line.place.index);
            out_.lines.push_back(result);
        }
    }

    static void add_corner(std::vector<int>& corners, int support) {
        if (std::find(corners.begin(), corners.end(), support) == corners.end()) corners.push_back(support);
    }

    /// A rolling load and a test pattern have clauses of their own where the standard gives them one.
    const std::string& eccentricity_clause(PlaceKind place) const {
        const files::TestRules& rules = standard_.tests;
        if (place == PlaceKind::rolling && !rules.rolling_clause.empty()) return rules.rolling_clause;
        if (place == PlaceKind::pattern && rules.section) return rules.section->clause;
        return standard_.corner_clause;
    }

    void judge_eccentricity() {
        const auto judge = [&](const char* title, PlaceKind example, const std::string& missing,
                               auto&& belongs) {
            judge_where(title, eccentricity_clause(example), {missing}, [&](const TestLine& line) {
                return line.test == TestKind::eccentricity && belongs(line.place.kind);
            });
        };
        const auto is = [](PlaceKind asked) { return [asked](PlaceKind kind) { return kind == asked; }; };
        judge("Eccentric loads", PlaceKind::support, missing_.corners,
              [](PlaceKind kind) { return kind != PlaceKind::rolling && kind != PlaceKind::pattern; });
        judge("Test pattern", PlaceKind::pattern, missing_.pattern, is(PlaceKind::pattern));
        judge("Rolling load", PlaceKind::rolling, missing_.rolling, is(PlaceKind::rolling));
    }

    void judge_kind(TestKind kind, const char* title, const std::string& clause, const Missing& missing) {
        judge_where(title, clause, missing, [kind](const TestLine& line) { return line.test == kind; });
    }

    template <class Belongs>
    void judge_where(const char* title, const std::string& clause, const Missing& missing,
                     Belongs&& belongs) {
        ClauseResult result{title, clause};
        for (std::size_t i = 0; i < sheet_.lines.size(); ++i)
            if (belongs(sheet_.lines[i])) take(result, out_.lines[i].error, line_words(i), {i});
        finish(std::move(result), missing);
    }

    /// Why no number came of lines that are all read; `alone` where one is not enough.
    std::string want_of(const std::vector<std::size_t>& lines, const std::string& alone) const {
        for (const std::size_t i : lines) {
            if (!sheet_.lines[i].shows_weight()) return line_words(i) + ": no weight is shown";
            if (!forms_.lines[i].load)
                return fmt::format(
                    "line {}: what the substitution load of {} weighs is not known: before it "
                    "goes a line of test \"substitution\" with that load, after a weighing of "
                    "the same load, both read",
                    i + 1, words(sheet_.lines[i].substitute_kg));
        }
        return alone;
    }

    /// Counts the lines of one number; false while there is no such number.
    bool has_number(const Judged& judged, const std::vector<std::size_t>& lines, const std::string& alone) {
        int unread = 0;
        for (const std::size_t i : lines) unread += sheet_.lines[i].is_read() ? 0 : 1;
        lines_ += static_cast<int>(lines.size());
        unread_ += unread;
        if (judged.verdict != Verdict::not_done) return true;
        open_ = true;
        if (unread == 0) want_ = want_of(lines, alone);
        return false;
    }

    /// One more number that bears on a clause, and the lines it comes from.
    void take(ClauseResult& result, const Judged& judged, const std::string& where,
              const std::vector<std::size_t>& lines, const std::string& alone = "") {
        if (!has_number(judged, lines, alone)) return;
        const bool blank = std::any_of(lines.begin(), lines.end(),
                                       [&](std::size_t i) { return !sheet_.lines[i].shows_weight(); });
        if (blank) {
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

    void finish(ClauseResult result) { finish(std::move(result), Missing{}); }

    void finish(ClauseResult result, const Missing& missing) {
        if (lines_ > 0) {
            const bool passes = result.verdict == Verdict::passes;
            if (passes && !missing.words.empty()) {
                result.verdict = Verdict::not_done;
                result.words = "lines are missing, as remarked";
            }
            if (open_ && result.verdict != Verdict::fails) {
                if (passes) result.verdict = Verdict::not_done;
                result.words =
                    unread_ > 0 ? fmt::format("{} of {} lines are not read", unread_, lines_) : want_;
            }
            if (missing.tell && !missing.words.empty())
                tell_missing(fmt::format("{} ({}): {}", result.title, result.clause, missing.words));
            out_.clauses.push_back(std::move(result));
        }
        lines_ = unread_ = 0;
        open_ = no_weight_ = false;
        want_.clear();
    }

    void judge_corner_spread() {
        if (!standard_.corner_spread) return;
        ClauseResult result{"Spread of the corner round and of the sections", standard_.corner_clause};
        for (const PlaceKind kind : {PlaceKind::support, PlaceKind::section}) {
            std::vector<std::size_t> lines;
            double load = 0.0;
            const char* name = kind == PlaceKind::support ? "support" : "section";
            for (std::size_t i = 0; i < sheet_.lines.size(); ++i) {
                const TestLine& line = sheet_.lines[i];
                if (line.test != TestKind::eccentricity || line.place.kind != kind) continue;
                lines.push_back(i);
                load = line.load_kg;
            }
            if (lines.empty()) continue;
            const double limit = corner_spread_limit_kg(standard_, sheet_.scale, sheet_.stage, load);
            take(result, spread_of(sheet_, forms_, lines, limit, !standard_.before_rounding),
                 fmt::format("{}s", name), lines,
                 fmt::format("only {} is tested: a second {} is missing",
                             files::place_text(sheet_.lines[lines.front()].place), name));
        }
        finish(std::move(result), {missing_.corners, false});
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
            Judged judged = repeated_spread_of(sheet_, forms_, lines, limit, !standard_.before_rounding);
            for (const std::size_t i : lines)
                if (!sheet_.lines[i].shows_weight()) judged.verdict = Verdict::fails;
            take(result, judged, fmt::format("{} of {}", lines.size(), words(load)), lines,
                 fmt::format("a second weighing of {} is missing", words(load)));
            result_spread_d_ = std::max(result_spread_d_, judged.value / d_.division_at_kg(load));
        }
        finish(std::move(result), {missing_.repeatability});
        judge_kind(TestKind::repeatability, "Each of the repeated weighings",
                   standard_.stage(sheet_.stage).clause, {missing_.repeatability, false});
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
            if (!sheet_.lines[i].shows_weight()) judged.verdict = Verdict::fails;
            take(result, judged, line_words(i), {i});
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
            if (!line.shows_weight()) judged.verdict = Verdict::fails;
            if (!has_number(judged, {i}, "")) continue;
            if (!result.worst || judged.value - judged.limit < result.worst->value - result.worst->limit) {
                result.worst = judged;
                result.verdict = judged.verdict;
                result.words = line_words(i) + (line.shows_weight() ? "" : ": no weight is shown");
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
            if (line.shows_weight() && judged.verdict != Verdict::fails) continue;
            ClauseResult result{"Zero setting", "the standard's range of zero setting", Verdict::fails};
            if (line.shows_weight()) result.worst = judged;
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
        if (!missing_.weights.empty()) tell_missing(missing_.weights);
        const bool substituted = std::any_of(sheet_.lines.begin(), sheet_.lines.end(),
                                             [](const TestLine& line) { return line.substitute_kg > 0.0; });
        if (!standard_.tests.substitution || !substituted) return;
        const files::SubstitutionRule rule = standard_.tests.substitution->of(d_);
        const double least = rule.least_weights_kg(d_.max_kg, result_spread_d_);
        if (sheet_.weights_kg < least * (1.0 - limit_slack))
            tell_missing(
                fmt::format("substitution loads ask for at least {} of test weights with weighings that "
                            "repeat within {:.2g} d "
                            "({}); there are {}",
                            words(least), result_spread_d_, rule.clause, words(sheet_.weights_kg)));
    }

    const files::TestSheet& sheet_;
    const files::Standard& standard_;
    const scale::Description& d_;
    SheetForms forms_;
    MissingLines missing_;
    Survey out_;
    // Of the clause that is judged.
    int lines_ = 0;
    int unread_ = 0;
    bool open_ = false;   ///< a number that bears on it is still to come
    std::string want_{};  ///< what that takes besides reading the lines
    bool no_weight_ = false;
    double result_spread_d_ = 0.0;
};

}  // namespace

Survey judge_sheet(const files::TestSheet& sheet, const files::Standard& standard) {
    return Judge(sheet, standard).judge();
}

}  // namespace cornerbench::commissioning
