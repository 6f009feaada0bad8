#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/commissioning/design_check.h"
#include "sim/field/corner_test.h"

namespace cornerbench::commissioning {

namespace {

const std::string practice = "common practice, no source";

// Common practice, no source: a bare steel deck weighs about 150 lb a foot, and a deck of more than 40 ft
// comes in more than one piece.
constexpr double usual_deck_lb_per_ft = 150.0;
/// A deck of concrete in a steel frame: about 6 in of concrete, 10 ft wide, is 750 lb a foot; lighter and
/// heavier ones stand about.
constexpr double usual_concrete_lb_per_ft = 700.0;
constexpr double longest_piece_ft = 40.0;
constexpr double metres_per_foot = 0.3048;  // exact, 1959
/// A deck this many times lighter or heavier than the usual one of its kind is asked about.
constexpr double unusual_factor = 2.0;

double weakest_capacity_kg(const scale::Description& d) {
    double least = d.cells[0].capacity_kg;
    for (int i = 1; i < d.cell_count(); ++i)
        least = std::min(least, d.cells[static_cast<unsigned>(i)].capacity_kg);
    return least;
}

double deck_length_m(const scale::Deck& deck) {
    return deck.section_x_m[static_cast<unsigned>(deck.sections - 1)] - deck.section_x_m[0] +
           2.0 * deck.overhang_m;
}

std::string where(const WorstCell& worst) {
    return fmt::format("cell {} under {}, front axle at {:.1f} m, heading {}", worst.support + 1,
                       worst.vehicle, worst.front_axle_m, worst.heads_right ? "right" : "left");
}

CheckLine capacity_line(const Design& design, const WorstCell& worst, const char* id, const char* title) {
    CheckLine line{id, title, practice};
    line.is_mass = true;
    line.value = worst.total_N() / scale::standard_gravity;
    line.limit = design.scale.description.cells[static_cast<unsigned>(worst.support)].capacity_kg;
    line.how =
        fmt::format("{}; dead load in it, the vehicle up to {} m off the middle, wind of {} m/s across",
                    where(worst), design.traffic.side_m, design.traffic.wind_m_per_s);
    line.mend = "cells of a larger capacity, another section between, or lighter vehicles by rule";
    return line;
}

void check_traffic(const Design& design, std::vector<CheckLine>& lines) {
    if (design.vehicles.empty()) {
        CheckLine line{"worst-cell", "Heaviest load of a cell under traffic", practice};
        line.answer = Answer::question;
        line.how = "no vehicle is known";
        line.mend = "name one with --vehicle";
        lines.push_back(line);
        return;
    }
    const WorstCell worst = drive_over(design.scale.description, design.vehicles, design.traffic);
    CheckLine line = capacity_line(design, worst, "worst-cell", "Heaviest load of a cell under traffic");
    judge(line);
    lines.push_back(line);

    const WorstCell at_max = drive_over_at_max(design.scale.description, design.vehicles, design.traffic);
    line = capacity_line(design, at_max, "worst-cell-at-max",
                         "The same vehicles loaded up to Max, or to 20 t on an axle");
    judge(line, Answer::question);
    if (line.answer == Answer::question)
        line.mend = "ask whether such axle loads ever come; if so, cells of a larger capacity";
    lines.push_back(line);

    CheckLine lifts{"stays-down", "Lightest load of a cell under traffic", practice};
    lifts.sense = Sense::at_least;
    lifts.is_mass = true;
    lifts.value = worst.stands ? worst.least_N / scale::standard_gravity : 0.0;
    lifts.limit = 0.0;
    lifts.how = fmt::format("cell {}, of all places of all vehicles", worst.least_support + 1);
    lifts.mend = "a heavier deck, a shorter overhang or a softer deck: a support that lifts off knocks";
    judge(lifts, Answer::question);
    if (*lifts.value <= 0.0) lifts.answer = Answer::question;
    lines.push_back(lifts);
}

void check_corner_load(const Design& design, std::vector<CheckLine>& lines) {
    const scale::Description& d = design.scale.description;
    const double test_kg = field::standard_test_kg(design.standard, d);
    const WorstCell worst = stand_pattern(d, test_kg, 0.0, 0.0);
    CheckLine line{"corner-load", "A cell under the corner test's load at its very edge",
                   design.standard.corner_clause};
    line.is_mass = true;
    line.value = worst.total_N() / scale::standard_gravity;
    line.limit = weakest_capacity_kg(d);
    line.how = fmt::format("cell {}, dead load in it, the load anywhere on the deck", worst.support + 1);
    line.mend = "cells of a larger capacity";
    judge(line);
    lines.push_back(line);
}

void check_section_load(const Design& design, std::vector<CheckLine>& lines) {
    const auto& rule = design.standard.tests.section;
    const scale::Description& d = design.scale.description;
    if (!rule) return;
    const double clc_kg = d.max_kg / (d.deck.sections - rule->sections_less);
    const WorstCell worst = stand_pattern(d, clc_kg, rule->pattern_m, rule->most_width_m);
    CheckLine line{"concentrated-load", "A cell under the least concentrated load capacity that Max allows",
                   rule->clause};
    line.is_mass = true;
    line.value = worst.total_N() / scale::standard_gravity;
    line.limit = weakest_capacity_kg(d);
    line.how = fmt::format(
        "Max over {} sections less {:g} on a pattern of {:g} m anywhere; cell {}, dead load in it",
        d.deck.sections, rule->sections_less, rule->pattern_m, worst.support + 1);
    line.mend = "cells of a larger capacity, or a smaller Max";
    judge(line);
    lines.push_back(line);
}

void check_usual_deck(const Design& design, std::vector<CheckLine>& lines) {
    const scale::Deck& deck = design.scale.description.deck;
    const double length_ft = deck_length_m(deck) / metres_per_foot;
    const double lb_per_ft = deck.mass_kg / scale::kilograms_per_pound / length_ft;
    CheckLine weight{"deck-weight", "Deck's weight by its length", practice};
    weight.value = lb_per_ft;
    const bool concrete = design.scale.deck_kind == files::DeckKind::concrete;
    const double usual = concrete ? usual_concrete_lb_per_ft : usual_deck_lb_per_ft;
    weight.limit = usual;
    weight.sense = Sense::about;
    weight.unit = "lb/ft";
    weight.how = fmt::format("{:.4g} kg/m on {:.1f} m; a {} deck has about {:g} lb/ft",
                             deck.mass_kg / deck_length_m(deck), deck_length_m(deck),
                             concrete ? "concrete" : "bare steel", usual);
    const bool unusual = lb_per_ft > usual * unusual_factor || lb_per_ft < usual / unusual_factor;
    weight.answer = unusual ? Answer::question : Answer::pass;
    if (unusual) {
        weight.mend = !concrete && lb_per_ft > usual
                          ? "of concrete? then [deck] kind = \"concrete\"; else look at mass and its unit"
                          : "look at [deck] mass, its unit and kind; the empty deck's signal follows from it";
    }
    lines.push_back(weight);

    double longest_m = 0.0;
    for (int j = 1; j < deck.sections; ++j) {
        const auto at = static_cast<unsigned>(j);
        double piece = deck.section_x_m[at] - deck.section_x_m[at - 1];
        if (j == 1) piece += deck.overhang_m;
        if (j == deck.sections - 1) piece += deck.overhang_m;
        longest_m = std::max(longest_m, piece);
    }
    CheckLine pieces{"deck-pieces", "Longest piece of the deck", practice};
    pieces.value = longest_m / metres_per_foot;
    pieces.limit = longest_piece_ft;
    pieces.unit = "ft";
    pieces.how = fmt::format("{} between {} sections",
                             deck.sections == 2 ? "1 piece" : fmt::format("{} pieces", deck.sections - 1),
                             deck.sections);
    pieces.mend = "a longer deck than 40 ft usually comes in more than one piece: look at section_x_m";
    judge(pieces, Answer::question);
    lines.push_back(pieces);
}

}  // namespace

std::vector<CheckLine> check_mechanics(const Design& design) {
    std::vector<CheckLine> lines;
    check_traffic(design, lines);
    check_corner_load(design, lines);
    check_section_load(design, lines);
    check_usual_deck(design, lines);
    return lines;
}

}  // namespace cornerbench::commissioning
