#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "firmware/mechanics/deck.h"
#include "sim/commissioning/cell_papers.h"

namespace cornerbench::commissioning {

namespace {

/// Of a weighbridge, share of Max by which its load may lie unevenly (OIML R 76-1:2006, annex F, from
/// memory).
constexpr double uneven_share = 0.5;

/// A certificate's number; nothing when the file does not give it.
std::optional<double> known(double number) {
    return number > 0.0 ? std::optional(number) : std::nullopt;
}

/// Finest division: the one that asks most of the cells.
double finest_division_kg(const scale::Description& d) {
    return d.division_at_kg(0.0);
}

double most_intervals(const scale::Description& d) {
    double most = d.max_kg / d.division_kg;
    for (const scale::PartialRange& range : d.finer)
        if (range.max_kg > 0.0) most = std::max(most, range.max_kg / range.division_kg);
    return most;
}

void ask_papers(CheckLine& line, const char* key) {
    if (line.answer == Answer::question)
        line.mend = fmt::format("the file does not say: take it from the papers into [certificates] {}", key);
}

void check_sizes(const Design& design, std::vector<CheckLine>& lines) {
    const scale::Description& d = design.scale.description;
    const files::SizeRule& sizes = design.accuracy_class().sizes;
    const auto add = [&](const char* id, const char* title, double value, double limit, Sense sense,
                         bool is_mass, const char* mend) {
        if (!(limit > 0.0)) return;
        CheckLine line{id, title, sizes.clause};
        line.value = value;
        line.limit = limit;
        line.sense = sense;
        line.is_mass = is_mass;
        line.unit = is_mass ? "" : "divisions";
        line.how = "class " + design.scale.accuracy_class;
        line.mend = mend;
        judge(line);
        lines.push_back(line);
    };
    const double n = most_intervals(d);
    add("fewest-divisions", "Divisions up to Max, at least", n, sizes.least_divisions, Sense::at_least, false,
        "a smaller division, or another class");
    add("most-divisions", "Divisions up to Max, at most", n, sizes.most_divisions, Sense::at_most, false,
        "a larger division, or another class");
    add("smallest-division", "Division", finest_division_kg(d), sizes.least_division_kg, Sense::at_least,
        true, "a larger division, or another class");
}

void check_v_min(const Design& design, const files::ModuleRule& rule, std::vector<CheckLine>& lines) {
    const scale::Description& d = design.scale.description;
    CheckLine line{"v-min", "Smallest verification interval of a cell", rule.clause};
    const CellPapers papers = cell_papers(design);
    line.value = known(papers.v_min_kg);
    line.limit = finest_division_kg(d) / std::sqrt(static_cast<double>(d.cell_count()));
    line.is_mass = true;
    line.how = fmt::format("v_min at most e / sqrt(N) with N = {}", d.cell_count());
    if (design.cell_standard && papers.v_min_kg > 0.0)
        line.how += fmt::format("; Y = {:.0f} [{}, {}]", papers.range_kg / papers.v_min_kg,
                                design.cell_standard->name, design.cell_standard->ratios_clause);
    line.mend = "cells with a smaller v_min, fewer cells, or a larger division";
    judge(line);
    ask_papers(line, "cell_v_min");
    lines.push_back(line);
}

void check_intervals(const Design& design, const files::ModuleRule& rule, std::vector<CheckLine>& lines) {
    const double n = most_intervals(design.scale.description);
    CheckLine cells{"cell-intervals", "Verification intervals of the cells, n_LC", rule.certificates_clause};
    cells.value = known(cell_papers(design).intervals);
    cells.limit = n;
    cells.sense = Sense::at_least;
    cells.how = "n_LC no less than the scale's divisions";
    cells.mend = "cells of a better class, or a larger division";
    judge(cells);
    ask_papers(cells, "cell_intervals");
    lines.push_back(cells);

    CheckLine indicator{"indicator-intervals", "Verification intervals of the indicator",
                        rule.certificates_clause};
    indicator.value = known(design.scale.certificates.indicator_intervals);
    indicator.limit = n;
    indicator.sense = Sense::at_least;
    indicator.how = "no less than the scale's divisions";
    indicator.mend = "another indicator, or a larger division";
    judge(indicator);
    ask_papers(indicator, "indicator_intervals");
    lines.push_back(indicator);
}

void check_load_factor(const Design& design, const files::ModuleRule& rule, std::vector<CheckLine>& lines) {
    const scale::Description& d = design.scale.description;
    if (!rule.load_factor) return;
    const double zero_kg =
        0.5 * design.standard.rules(design.scale.accuracy_class).initial_zero_share * d.max_kg;
    const double factor = (d.max_kg + d.deck.mass_kg + zero_kg + uneven_share * d.max_kg) / d.max_kg;
    CheckLine line{"load-factor", "Capacity of a cell by the load factor Q", rule.certificates_clause};
    line.value = d.cells[0].capacity_kg;
    for (int i = 1; i < d.cell_count(); ++i)
        line.value = std::min(*line.value, d.cells[static_cast<unsigned>(i)].capacity_kg);
    line.limit = factor * d.max_kg / d.cell_count();
    line.sense = Sense::at_least;
    line.is_mass = true;
    line.how = fmt::format(
        "Emax at least Q Max / N; Q = {:.3f} from Max, dead load, the upper half of the initial zero's range "
        "and {:.0f} % of Max unevenly (from memory), no additive tare",
        factor, 100.0 * uneven_share);
    line.mend = "cells of a larger capacity";
    judge(line);
    lines.push_back(line);
}

void check_shares(const Design& design, const files::ModuleRule& rule, std::vector<CheckLine>& lines) {
    const double stated = cell_papers(design).share;
    const double cell_share = stated > 0.0 ? stated : rule.cell_share;
    CheckLine line{"error-shares", "Squares of the modules' error shares", rule.certificates_clause};
    line.value = cell_share * cell_share + rule.indicator_share * rule.indicator_share +
                 rule.cable_share * rule.cable_share;
    line.limit = 1.0;
    line.how = fmt::format("cells {:g}, indicator {:g}, connecting parts {:g}", cell_share,
                           rule.indicator_share, rule.cable_share);
    line.mend = "modules with smaller shares";
    judge(line);
    lines.push_back(line);
}

/// A multi-interval scale must show its finest division again once a heavy load has gone.
void check_return(const Design& design, const files::ModuleRule& rule, std::vector<CheckLine>& lines) {
    const scale::Description& d = design.scale.description;
    if (!(rule.return_divisions > 0.0) || finest_division_kg(d) == d.division_kg) return;
    const CellPapers papers = cell_papers(design);
    CheckLine line{"cells-return", "Least dead load output return of all cells", rule.certificates_clause};
    if (papers.return_kg > 0.0) line.value = papers.return_kg * d.cell_count();
    line.limit = rule.return_divisions * finest_division_kg(d);
    line.is_mass = true;
    line.how = fmt::format("N DR at most {:g} of the smallest e{}", rule.return_divisions,
                           papers.return_by_class ? "; without a Z, DR is what the cells' class allows" : "");
    line.mend = "cells with a larger Z, or a coarser division for small loads";
    judge(line);
    ask_papers(line, "cell_Z");
    lines.push_back(line);
}

void check_dead_load(const Design& design, const files::ModuleRule& rule, std::vector<CheckLine>& lines) {
    const scale::Description& d = design.scale.description;
    const mechanics::DeckModel model(scale::sound_condition(d));
    mechanics::DeckState empty;
    model.slack_when_empty(&empty);
    double least_N = empty.support_N[0];
    double most_share = 0.0;
    int lightest = 0;
    for (int i = 0; i < d.cell_count(); ++i) {
        const auto at = static_cast<unsigned>(i);
        if (empty.support_N[at] < least_N) {
            least_N = empty.support_N[at];
            lightest = i;
        }
        most_share =
            std::max(most_share, empty.support_N[at] / scale::standard_gravity / d.cells[at].capacity_kg);
    }
    CheckLine line{"least-dead-load", "Dead load of the lightest cell", rule.certificates_clause};
    line.value = least_N / scale::standard_gravity;
    line.limit = known(design.scale.certificates.cell_least_load_kg);
    line.sense = Sense::at_least;
    line.is_mass = true;
    line.how = fmt::format("cell {}; no less than the cells' Emin; the heaviest carries {:.1f} % of capacity",
                           lightest + 1, 100.0 * most_share);
    line.mend = "a heavier deck, or cells with a smaller Emin";
    judge(line);
    ask_papers(line, "cell_least_load");
    lines.push_back(line);
}

void check_home_run(const Design& design, const files::ModuleRule& rule, std::vector<CheckLine>& lines) {
    const scale::Description& d = design.scale.description;
    if (d.converter == scale::Converter::per_cell) return;
    CheckLine line{"home-run", "Home run's length by its conductor's area", rule.certificates_clause};
    line.value = d.home_run_m / d.home_run_area_mm2;
    line.limit = known(design.scale.certificates.cable_m_per_mm2);
    line.unit = "m/mm2";
    line.how = fmt::format("{:.4g} m of {:.3g} mm2", d.home_run_m, d.home_run_area_mm2);
    line.mend = "a shorter or a thicker cable";
    judge(line);
    ask_papers(line, "cable_m_per_mm2");
    lines.push_back(line);
}

}  // namespace

std::vector<CheckLine> check_modules(const Design& design) {
    std::vector<CheckLine> lines;
    check_sizes(design, lines);
    if (!design.standard.modules) return lines;
    const files::ModuleRule& rule = *design.standard.modules;
    check_v_min(design, rule, lines);
    check_intervals(design, rule, lines);
    check_load_factor(design, rule, lines);
    check_dead_load(design, rule, lines);
    check_home_run(design, rule, lines);
    check_shares(design, rule, lines);
    check_return(design, rule, lines);
    return lines;
}

}  // namespace cornerbench::commissioning
