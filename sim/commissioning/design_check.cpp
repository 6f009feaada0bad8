#include "sim/commissioning/design_check.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>

#include "sim/commissioning/cell_papers.h"

namespace cornerbench::commissioning {

namespace {

constexpr double tenth = 1.1;
constexpr std::size_t tightest_told = 5;
/// A margin that moves less than this is not moved.
constexpr double moved = 1.0e-3;

struct Parameter {
    const char* words;
    std::function<void(files::ScaleFile&, std::vector<files::Vehicle>&, double)> multiply;
};

void each_cell(files::ScaleFile& scale, double scale::Cell::*member, double by) {
    for (scale::Cell& cell : scale.description.cells) cell.*member *= by;
}

const std::vector<Parameter>& parameters() {
    using Vehicles = std::vector<files::Vehicle>;
    static const std::vector<Parameter> all{
        {"the deck's mass",
         [](files::ScaleFile& s, Vehicles&, double by) { s.description.deck.mass_kg *= by; }},
        {"the cells' capacity",
         [](files::ScaleFile& s, Vehicles&, double by) { each_cell(s, &scale::Cell::capacity_kg, by); }},
        {"the cells' rated output", [](files::ScaleFile& s, Vehicles&,
                                       double by) { each_cell(s, &scale::Cell::rated_output_V_per_V, by); }},
        {"the cells' v_min",
         [](files::ScaleFile& s, Vehicles&, double by) {
             s.certificates.cell_v_min_kg *= by;
             s.certificates.cell_Y /= by;
         }},
        {"the cells' tolerances",
         [](files::ScaleFile& s, Vehicles&, double by) {
             each_cell(s, &scale::Cell::rated_output_tolerance, by);
             each_cell(s, &scale::Cell::output_tolerance, by);
             each_cell(s, &scale::Cell::input_tolerance, by);
         }},
        {"the division",
         [](files::ScaleFile& s, Vehicles&, double by) {
             s.description.division_kg *= by;
             for (scale::PartialRange& range : s.description.finer) range.division_kg *= by;
         }},
        {"the vehicles' loads",
         [](files::ScaleFile&, Vehicles& vehicles, double by) {
             for (files::Vehicle& vehicle : vehicles)
                 for (files::Axle& axle : vehicle.axles) axle.mass_kg *= by;
         }},
        {"the excitation",
         [](files::ScaleFile& s, Vehicles&, double by) { s.description.excitation_V *= by; }},
        {"the cells' cables",
         [](files::ScaleFile& s, Vehicles&, double by) { each_cell(s, &scale::Cell::cable_m, by); }},
        {"the home run's length",
         [](files::ScaleFile& s, Vehicles&, double by) { s.description.home_run_m *= by; }},
        {"the trims' range",
         [](files::ScaleFile& s, Vehicles&, double by) { s.description.trim.total_ohm *= by; }},
        {"the converter's noise",
         [](files::ScaleFile& s, Vehicles&, double by) { s.description.noise_V_rms *= by; }},
        {"the converter's full scale",
         [](files::ScaleFile& s, Vehicles&, double by) { s.description.full_scale_V_per_V *= by; }},
    };
    return all;
}

std::vector<CheckLine> all_lines(const Design& design) {
    std::vector<CheckLine> lines = check_mechanics(design);
    for (auto* part : {&check_electrics, &check_modules, &check_cells}) {
        std::vector<CheckLine> more = (*part)(design);
        std::move(more.begin(), more.end(), std::back_inserter(lines));
    }
    return lines;
}

const CheckLine* find(const std::vector<CheckLine>& lines, const std::string& id) {
    for (const CheckLine& line : lines)
        if (line.id == id) return &line;
    return nullptr;
}

std::vector<const CheckLine*> tightest(const std::vector<CheckLine>& lines) {
    std::vector<const CheckLine*> found;
    for (const CheckLine& line : lines)
        if (line.margin()) found.push_back(&line);
    std::stable_sort(found.begin(), found.end(),
                     [](const CheckLine* a, const CheckLine* b) { return *a->margin() < *b->margin(); });
    return found;
}

}  // namespace

DesignCheck check_design(const Design& design) {
    DesignCheck check;
    check.lines = all_lines(design);

    struct Moved {
        const Parameter* parameter;
        bool more;
        std::vector<CheckLine> lines;
    };
    std::vector<Moved> variants;
    for (const Parameter& parameter : parameters()) {
        for (const bool more : {true, false}) {
            files::ScaleFile scale = design.scale;
            std::vector<files::Vehicle> vehicles = design.vehicles;
            parameter.multiply(scale, vehicles, more ? tenth : 1.0 / tenth);
            variants.push_back(
                {&parameter, more,
                 all_lines({scale, design.standard, vehicles, design.traffic, design.cell_standard})});
        }
    }
    for (const CheckLine* line : tightest(check.lines)) {
        if (check.sensitivities.size() == tightest_told) break;
        Sensitivity best{line->id, "", true, *line->margin(), *line->margin()};
        for (const Moved& variant : variants) {
            const CheckLine* there = find(variant.lines, line->id);
            if (there == nullptr || !there->margin() || *there->margin() <= best.after) continue;
            best.parameter = variant.parameter->words;
            best.more = variant.more;
            best.after = *there->margin();
        }
        if (best.after > best.before * (1.0 + moved)) check.sensitivities.push_back(best);
    }
    return check;
}

}  // namespace cornerbench::commissioning
