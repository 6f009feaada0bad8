#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/commissioning/cell_papers.h"

namespace cornerbench::commissioning {

namespace {

/// Papers round v_min to two or three figures.
constexpr double rounded = 0.01;
/// Steps of load at which a cell's error is looked for.
constexpr int load_steps = 200;

const files::Certificates& papers_of(const Design& design) {
    return design.scale.certificates;
}

std::string known_classes(const files::CellStandard& standard) {
    std::string names;
    for (const files::CellClass& each : standard.classes) names += (names.empty() ? "" : ", ") + each.name;
    return names;
}

/// Largest magnitude of one of the cells' numbers.
double largest(const scale::Description& d, double scale::Cell::*member) {
    double most = 0.0;
    for (int i = 0; i < d.cell_count(); ++i)
        most = std::max(most, std::fabs(d.cells[static_cast<unsigned>(i)].*member));
    return most;
}

void check_class(const Design& design, const CellPapers& papers, std::vector<CheckLine>& lines) {
    const auto& asked = design.accuracy_class().cell_classes;
    const files::ModuleRule rule = design.standard.modules.value_or(files::ModuleRule{});
    CheckLine line{"cell-class", "Accuracy class of the cells", rule.certificates_clause};
    const std::string& mark = papers_of(design).cell_class;
    if (mark.empty()) {
        line.answer = Answer::question;
        line.how = asked.empty() ? "as their papers mark them"
                                 : fmt::format("for class {} serve {}", design.accuracy_class().name,
                                               fmt::join(asked, ", "));
        line.mend = "the file does not say: take it from the papers into [certificates] cell_class";
    } else if (!design.cell_standard) {
        line.answer = Answer::question;
        line.how = fmt::format("class {}, of no known standard", mark);
        line.mend = "name the standard whose class it is in [certificates] cell_standard";
    } else if (papers.cell_class == nullptr) {
        line.answer = Answer::question;
        line.how = fmt::format("{} is no class of {}", mark, design.cell_standard->name);
        line.mend = fmt::format("one of {}, with the thousands of intervals behind it",
                                known_classes(*design.cell_standard));
    } else {
        const bool serves =
            asked.empty() || std::find(asked.begin(), asked.end(), papers.cell_class->name) != asked.end();
        line.answer = serves ? Answer::pass : Answer::fail;
        line.how = asked.empty()
                       ? fmt::format("class {} of {} ({})", papers.cell_class->name,
                                     design.cell_standard->name, design.cell_standard->edition)
                       : fmt::format("class {} of {} ({}); for class {} serve {}", papers.cell_class->name,
                                     design.cell_standard->name, design.cell_standard->edition,
                                     design.accuracy_class().name, fmt::join(asked, ", "));
        if (!serves) line.mend = "cells of a better class";
    }
    lines.push_back(line);
}

void check_class_intervals(const CellPapers& papers, std::vector<CheckLine>& lines) {
    const auto add = [&](const char* id, const char* title, double limit, Sense sense, const char* mend) {
        if (!(limit > 0.0) || !(papers.intervals > 0.0)) return;
        CheckLine line{id, title, papers.cell_class->clause};
        line.value = papers.intervals;
        line.limit = limit;
        line.sense = sense;
        line.how = "n_LC of class " + papers.cell_class->name;
        line.mend = mend;
        judge(line);
        lines.push_back(line);
    };
    add("cell-fewest-intervals", "Intervals that the cells' class asks for",
        papers.cell_class->least_intervals, Sense::at_least,
        "look at the papers: so few intervals belong to a lower class");
    add("cell-most-intervals", "Intervals that the cells' class allows", papers.cell_class->most_intervals,
        Sense::at_most, "look at the papers: so many intervals belong to a better class");
}

void check_agreement(const Design& design, const CellPapers& papers, std::vector<CheckLine>& lines) {
    const files::Certificates& says = papers_of(design);
    const files::CellStandard& standard = *design.cell_standard;
    const auto add = [&](const char* id, const char* title, const std::string& clause, double value,
                         double beside, bool is_mass, const std::string& how) {
        CheckLine line{id, title, clause};
        line.value = value;
        line.limit = beside;
        line.sense = Sense::about;
        line.is_mass = is_mass;
        line.how = how;
        if (std::fabs(value - beside) > rounded * beside) {
            line.answer = Answer::question;
            line.mend = "look at the papers again: the two must agree";
        }
        lines.push_back(line);
    };
    const double marked = files::read_cell_mark(says.cell_class).intervals;
    if (marked > 0.0 && says.cell_intervals > 0.0)
        add("cell-mark", "Intervals beside those of the cells' mark", papers.cell_class->clause,
            says.cell_intervals, marked, false, fmt::format("marked {}", says.cell_class));
    if (says.cell_Y > 0.0 && says.cell_v_min_kg > 0.0)
        add("cell-y", "Smallest verification interval beside the cells' Y", standard.ratios_clause,
            says.cell_v_min_kg, papers.range_kg / says.cell_Y, true,
            fmt::format("v_min is the measuring range over Y = {:g}; the measuring range is {}", says.cell_Y,
                        standard.less_least_load ? "Emax - Emin" : "Emax"));
}

void check_share(const Design& design, const CellPapers& papers, std::vector<CheckLine>& lines) {
    const files::CellStandard& standard = *design.cell_standard;
    CheckLine line{"cell-share", "Share of the limits of error that the cells take, p_LC",
                   standard.errors_clause};
    const bool low = papers.share < standard.least_share;
    line.value = papers.share;
    line.limit = low ? standard.least_share : standard.most_share;
    line.sense = low ? Sense::at_least : Sense::at_most;
    line.how = fmt::format(
        "{}; {:g} to {:g} are allowed",
        papers_of(design).cell_share > 0.0 ? "as the papers state it" : "not stated, so taken as usual",
        standard.least_share, standard.most_share);
    line.mend = "look at the papers again";
    judge(line);
    lines.push_back(line);
}

void check_return(const Design& design, const CellPapers& papers, std::vector<CheckLine>& lines) {
    if (!(papers_of(design).cell_Z > 0.0) || !(papers.intervals > 0.0)) return;
    const files::CellStandard& standard = *design.cell_standard;
    CheckLine line{"cell-return", "Least dead load output return of a cell, DR", standard.return_clause};
    line.value = papers.return_kg;
    line.limit = standard.return_intervals * papers.interval_kg();
    line.is_mass = true;
    line.how = fmt::format("measuring range over 2 Z with Z = {:g} [{}]; at most {:g} v",
                           papers_of(design).cell_Z, standard.ratios_clause, standard.return_intervals);
    line.mend = "cells with a larger Z, or look at the papers: n_LC may be smaller";
    judge(line);
    lines.push_back(line);
}

/// What a scale's file says of the cells' own errors, beside what the class lets them have.
void check_errors(const Design& design, const CellPapers& papers, std::vector<CheckLine>& lines) {
    if (!(papers.intervals > 0.0)) return;
    const files::CellStandard& standard = *design.cell_standard;
    const scale::Description& d = design.scale.description;
    const double n = papers.intervals;
    const auto limit_v = [&](double load) {
        return papers.share * scale::limit_divisions(papers.cell_class->limits, load * n);
    };
    const auto add = [&](const char* id, const char* title, const std::string& clause, double value,
                         double limit, const std::string& how) {
        CheckLine line{id, title, clause};
        line.value = value;
        line.limit = limit;
        line.unit = "v";
        line.how = how;
        line.mend = "look at [cell]: cells of this class are no worse; else cells of fewer intervals";
        judge(line);
        lines.push_back(line);
    };
    if (const double creep = largest(d, &scale::Cell::creep); creep > 0.0)
        add("cell-creep", "Creep of a cell in half an hour at its capacity", standard.creep_clause, creep * n,
            standard.creep_limit_errors * limit_v(1.0),
            fmt::format("{:g} % of {:g} v in 30 min; at most {:g} of the limit of error, {:g} v",
                        100.0 * creep, n, standard.creep_limit_errors, limit_v(1.0)));

    // A limit is tightest for its load at the end of a band.
    std::vector<double> loads;
    for (int step = 1; step <= load_steps; ++step) loads.push_back(static_cast<double>(step) / load_steps);
    const scale::LimitTable& table = papers.cell_class->limits;
    for (int band = 0; band < table.count; ++band) {
        const double edge = table.bands[static_cast<unsigned>(band)].upper_edge;
        if (edge < n) loads.push_back(edge / n);
    }
    double value = 0.0;
    double limit = 0.0;
    double at = 0.0;
    for (int i = 0; i < d.cell_count(); ++i) {
        const scale::Cell& cell = d.cells[static_cast<unsigned>(i)];
        for (const double load : loads) {
            // Told from the straight line through zero and the load where there is no error.
            const double bow = 4.0 * cell.nonlinearity * load * (standard.straight_through - load);
            const double loop = 4.0 * cell.hysteresis * load * (1.0 - load);
            const double error_v = n * std::max(std::fabs(bow), std::fabs(bow + loop));
            if (at > 0.0 && error_v * limit <= value * limit_v(load)) continue;
            value = error_v;
            limit = limit_v(load);
            at = load;
        }
    }
    if (value > 0.0)
        add("cell-error", "Error of a cell, up and down, nearest its limit", standard.errors_clause, value,
            limit,
            fmt::format("nonlinearity and hysteresis at {:.0f} v, from the straight line through {:.0f} %; "
                        "limit with p_LC {:g}",
                        at * n, 100.0 * standard.straight_through, papers.share));
}

void check_warmth(const Design& design, const CellPapers& papers, std::vector<CheckLine>& lines) {
    const double per_K = largest(design.scale.description, &scale::Cell::zero_per_K);
    if (!(per_K > 0.0) || !(papers.cell_class->zero_warmth_K > 0.0)) return;
    CheckLine line{"cell-zero-warmth", "Zero of a cell over temperature",
                   design.cell_standard->warmth_clause};
    double most_kg = 0.0;
    const scale::Description& d = design.scale.description;
    for (int i = 0; i < d.cell_count(); ++i) {
        const scale::Cell& cell = d.cells[static_cast<unsigned>(i)];
        most_kg = std::max(most_kg, std::fabs(cell.zero_per_K) * cell.capacity_kg);
    }
    line.value = most_kg * papers.cell_class->zero_warmth_K;
    if (papers.v_min_kg > 0.0) line.limit = papers.share * papers.v_min_kg;
    line.is_mass = true;
    line.how = fmt::format("in {:g} K; at most p_LC v_min with p_LC {:g}", papers.cell_class->zero_warmth_K,
                           papers.share);
    line.mend = "look at [cell] zero_percent_per_10K: cells with this v_min are no worse";
    judge(line);
    if (line.answer == Answer::question)
        line.mend = "the file does not say: take v_min or Y into [certificates] cell_v_min or cell_Y";
    lines.push_back(line);
}

}  // namespace

CellPapers cell_papers(const Design& design) {
    const files::Certificates& says = papers_of(design);
    const scale::Description& d = design.scale.description;
    const files::CellMark mark = files::read_cell_mark(says.cell_class);
    CellPapers papers;
    double capacity_kg = d.cells[0].capacity_kg;
    for (int i = 1; i < d.cell_count(); ++i)
        capacity_kg = std::min(capacity_kg, d.cells[static_cast<unsigned>(i)].capacity_kg);
    papers.range_kg = capacity_kg;
    papers.intervals = says.cell_intervals > 0.0 ? says.cell_intervals : mark.intervals;
    papers.v_min_kg = says.cell_v_min_kg;
    papers.share = says.cell_share;
    if (!design.cell_standard) return papers;
    const files::CellStandard& standard = *design.cell_standard;
    papers.cell_class = standard.find_class(mark.class_name);
    papers.range_kg = standard.measuring_range_kg(capacity_kg, says.cell_least_load_kg);
    if (!(papers.v_min_kg > 0.0) && says.cell_Y > 0.0) papers.v_min_kg = papers.range_kg / says.cell_Y;
    if (!(papers.share > 0.0) && papers.cell_class != nullptr) papers.share = standard.usual_share;
    if (says.cell_Z > 0.0) {
        papers.return_kg = papers.range_kg / (2.0 * says.cell_Z);
    } else if (papers.cell_class != nullptr) {
        papers.return_kg = standard.return_intervals * papers.interval_kg();
        papers.return_by_class = true;
    }
    return papers;
}

std::vector<CheckLine> check_cells(const Design& design) {
    std::vector<CheckLine> lines;
    const bool standard_asks = design.standard.modules && !design.standard.modules->cell_standard.empty();
    if (!standard_asks && papers_of(design).cell_class.empty()) return lines;
    const CellPapers papers = cell_papers(design);
    check_class(design, papers, lines);
    if (papers.cell_class == nullptr) return lines;
    check_class_intervals(papers, lines);
    check_agreement(design, papers, lines);
    check_share(design, papers, lines);
    check_return(design, papers, lines);
    check_errors(design, papers, lines);
    check_warmth(design, papers, lines);
    // All but the first are asked by the cells' standard, beside lines of the scale's own.
    for (std::size_t i = 1; i < lines.size(); ++i)
        lines[i].clause = design.cell_standard->name + ", " + lines[i].clause;
    return lines;
}

}  // namespace cornerbench::commissioning
