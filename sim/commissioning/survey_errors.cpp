#include "sim/commissioning/survey_errors.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "firmware/scale/numbering.h"

namespace cornerbench::commissioning {

using files::PlaceKind;
using files::TestKind;
using files::TestLine;

namespace {

constexpr double even_to_standard = 0.28867513459481287;  // 1 / sqrt(12): of an even spread one wide
constexpr double same_load_kg = 1.0e-6;

/// Change of the error along and across the deck by metre, from what the round itself shows.
struct Slopes {
    double along_kg_per_m = 0.0;
    double across_kg_per_m = 0.0;
};

constexpr int weights_input = 0;
/// The display turns somewhere between the last small weight and the one before it, and A.4.4.3 takes the
/// last: half a small weight in every reading alike, which goes out of what is read against another reading.
constexpr int last_weight_input = 1;
constexpr int shared_inputs = 2;

/// What is stated counts like so many weighings beside those that were seen (pooled estimate, JCGM 100:2008,
/// 4.2.4); our own choice.
constexpr double stated_freedom = 10.0;
/// Scatter that is this many times the stated one shows that the statement is wrong, and counts alone.
constexpr double refuted = 3.0;

double pooled(double stated_kg, const std::optional<SeenScatter>& seen) {
    if (!seen) return stated_kg;
    if (seen->variance_kg2 > refuted * refuted * stated_kg * stated_kg) return std::sqrt(seen->variance_kg2);
    return std::sqrt((stated_freedom * stated_kg * stated_kg + seen->freedom * seen->variance_kg2) /
                     (stated_freedom + seen->freedom));
}

/// Numbers of the uncertain inputs of a day.
class Inputs {
  public:
    int next() { return count_++; }

  private:
    int count_ = shared_inputs;
};

class Forms {
  public:
    Forms(const files::TestSheet& sheet, bool shown_counts)
        : sheet_(sheet), d_(sheet.scale.description), shown_counts_(shown_counts) {
        const double stated =
            sheet.uncertainties.repeatability_divisions * d_.division_at_kg(0.5 * d_.max_kg);
        out_.repeatability_kg = pooled(stated, seen_scatter(sheet));
    }

    SheetForms make() {
        for (const TestLine& line : sheet_.lines) read_error(line);
        LinearForm zero(0.0);
        for (std::size_t i = 0; i < sheet_.lines.size(); ++i) out_.lines.push_back(line_forms(i, zero));
        return std::move(out_);
    }

  private:
    /// Errors of the corner round as they stand, by place.
    void read_error(const TestLine& line) {
        const auto p = before_rounding_kg(line, d_);
        if (line.test != TestKind::eccentricity || !p) return;
        if (line.place.kind == PlaceKind::support) support_error_[line.place.index] = *p - line.load_kg;
    }

    std::optional<double> support_error(int section, bool far) const {
        const auto found = support_error_.find(scale::support_at(section, far, d_.deck.sections));
        return found == support_error_.end() ? std::nullopt : std::optional(found->second);
    }

    double steeper(double now, std::optional<double> a, std::optional<double> b, double metres) const {
        if (!a || !b || !(metres > 0.0)) return now;
        return std::max(now, std::fabs(*a - *b) / metres);
    }

    /// The steepest slope beside a place of the round.
    Slopes slopes_at(const files::TestPlace& place) const {
        Slopes slopes;
        const scale::Deck& deck = d_.deck;
        int first = 0;
        int last = 0;
        bool far = true;
        bool near = true;
        if (place.kind == PlaceKind::support) {
            first = last = scale::section_of(place.index, deck.sections);
            far = scale::is_far(place.index, deck.sections);
            near = !far;
        } else if (place.kind == PlaceKind::section || place.kind == PlaceKind::pattern) {
            first = last = place.index;
        } else if (place.kind == PlaceKind::rolling) {
            last = deck.sections - 1;
        } else if (place.kind == PlaceKind::midspan) {
            first = place.index;
            last = place.index + 1;
        } else {
            return slopes;
        }
        for (int j = first; j <= last; ++j)
            slopes.across_kg_per_m = steeper(slopes.across_kg_per_m, support_error(j, true),
                                             support_error(j, false), deck.width_m);
        for (int j = std::max(0, first - 1); j < std::min(deck.sections - 1, last + 1); ++j) {
            const auto at = static_cast<unsigned>(j);
            const double metres = deck.section_x_m[at + 1] - deck.section_x_m[at];
            for (const bool row : {true, false}) {
                if ((row && !far) || (!row && !near)) continue;
                slopes.along_kg_per_m =
                    steeper(slopes.along_kg_per_m, support_error(j, row), support_error(j + 1, row), metres);
            }
        }
        return slopes;
    }

    LinearForm reading(const TestLine& line, double p) {
        LinearForm form(p);
        form.add(inputs_.next(), out_.repeatability_kg);
        const double division = d_.division_at_kg(p);
        const double step = line.added_kg ? sheet_.uncertainties.added_step_divisions : 1.0;
        if (line.added_kg || !shown_counts_) form.add(inputs_.next(), step * division * even_to_standard);
        if (line.added_kg) form.add(last_weight_input, 0.5 * step * division);
        if (line.test == TestKind::eccentricity) {
            const Slopes slopes = slopes_at(line.place);
            form.add(inputs_.next(), sheet_.uncertainties.placing_m * slopes.along_kg_per_m);
            form.add(inputs_.next(), sheet_.uncertainties.placing_m * slopes.across_kg_per_m);
        }
        return form;
    }

    LinearForm weights(double kg) const {
        return LinearForm(kg).add(weights_input, kg * sheet_.uncertainties.weights);
    }

    /// What stands there: weights, and substitution loads as the display compared them.
    std::optional<LinearForm> load(const TestLine& line) const {
        LinearForm form = weights(line.load_kg - line.substitute_kg);
        if (line.substitute_kg <= same_load_kg) return form;
        for (const auto& [nominal, found] : substitutes_) {
            if (std::fabs(nominal - line.substitute_kg) <= same_load_kg) return form.plus(found);
        }
        return std::nullopt;
    }

    /// The weighing that a substitution line follows: the same load, and what it truly was.
    const LineForms* reference(std::size_t at) const {
        for (std::size_t i = at; i-- > 0;) {
            const TestLine& line = sheet_.lines[i];
            if (line.test == TestKind::weighing && !line.decreasing &&
                std::fabs(line.load_kg - sheet_.lines[at].load_kg) <= same_load_kg)
                return &out_.lines[i];
        }
        return nullptr;
    }

    LineForms line_forms(std::size_t at, LinearForm& zero) {
        const TestLine& line = sheet_.lines[at];
        LineForms forms;
        if (const auto p = before_rounding_kg(line, d_)) forms.before_rounding = reading(line, *p);
        if (line.test == TestKind::substitution) {
            const LineForms* before = reference(at);
            if (!forms.before_rounding || before == nullptr || !before->before_rounding || !before->load)
                return forms;
            LinearForm found = *before->load;
            found.plus(*forms.before_rounding).plus(*before->before_rounding, -1.0);
            substitutes_.emplace_back(line.substitute_kg, found);
            forms.load = found;
            return forms;
        }
        forms.load = load(line);
        if (!forms.before_rounding || !forms.load || line.test == TestKind::discrimination) return forms;
        LinearForm error = *forms.before_rounding;
        error.plus(*forms.load, -1.0);
        if (line.test == TestKind::zero) {
            zero = error;
            forms.error = error;
            return forms;
        }
        forms.error = error.plus(zero, -1.0);
        return forms;
    }

    const files::TestSheet& sheet_;
    const scale::Description& d_;
    bool shown_counts_ = false;
    Inputs inputs_;
    std::map<int, double> support_error_;
    std::vector<std::pair<double, LinearForm>> substitutes_;
    SheetForms out_;
};

}  // namespace

std::optional<double> before_rounding_kg(const TestLine& line, const scale::Description& d) {
    if (!line.indication_kg) return std::nullopt;
    if (!line.added_kg) return line.indication_kg;
    return *line.indication_kg + 0.5 * d.division_at_kg(*line.indication_kg) - *line.added_kg;
}

std::optional<SeenScatter> seen_scatter(const files::TestSheet& sheet) {
    std::map<double, std::vector<double>> by_load;
    const scale::Description& d = sheet.scale.description;
    double steps = 0.0;
    for (const TestLine& line : sheet.lines) {
        const auto p = before_rounding_kg(line, d);
        if (line.test != TestKind::repeatability || !p) continue;
        by_load[line.load_kg].push_back(*p);
        const double step = line.added_kg ? sheet.uncertainties.added_step_divisions : 1.0;
        steps = std::max(steps, step * d.division_at_kg(*p) * even_to_standard);
    }
    double squares = 0.0;
    int freedom = 0;
    for (const auto& [load, values] : by_load) {
        double mean = 0.0;
        for (const double value : values) mean += value / static_cast<double>(values.size());
        for (const double value : values) squares += (value - mean) * (value - mean);
        freedom += static_cast<int>(values.size()) - 1;
    }
    if (freedom < 1) return std::nullopt;
    return SeenScatter{std::max(0.0, squares / freedom - steps * steps), freedom};
}

SheetForms sheet_forms(const files::TestSheet& sheet, bool shown_counts) {
    return Forms(sheet, shown_counts).make();
}

}  // namespace cornerbench::commissioning
