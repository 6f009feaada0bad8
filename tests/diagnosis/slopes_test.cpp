#include <catch2/catch.hpp>

#include <string>

#include "tests/diagnosis/bench_scales.h"
#include "tests/diagnosis/diagnosis_bench.h"
#include "tests/diagnosis/perturbed_specimen.h"

// Each column of the predictor's slopes against a difference quotient over specimens that really have that
// part off: half a standard uncertainty either way.

// Calibrated specimens have their corners trimmed equal again, and zero and span set anew.

using namespace cornerbench;
using diagnosis::CellUnknown;
using diagnosis::CommonUnknown;
using diagnosis::History;
using diagnosis::Zeroed;
using oracle::DiagnosisBench;
using oracle::Specimen;

namespace {

constexpr double half = 0.5;

struct Column {
    std::string name;
    int index = 0;
    std::function<Specimen(double)> specimen;
};

std::vector<Column> every_column(const oracle::SpecimenMaker& make, const diagnosis::Nuisances& columns,
                                 const diagnosis::LoadHistory& loads) {
    std::vector<Column> all;
    const int cells = make.d.cell_count();
    for (int c = 0; c < cells; ++c) {
        for (int u = 0; u < diagnosis::cell_unknown_count; ++u) {
            const auto of = static_cast<CellUnknown>(u);
            all.push_back({"cell unknown " + std::to_string(u) + " of " + std::to_string(c),
                           columns.cell(c, of),
                           [&make, c, of](double by) { return make.cell_off(c, of, by); }});
        }
        if (make.trims()) {
            all.push_back({"trim " + std::to_string(c), columns.trim(c),
                           [&make, c](double by) { return make.trim_off(c, by); }});
        }
        all.push_back({"stiffness " + std::to_string(c), columns.stiffness(c),
                       [&make, c](double by) { return make.stiffness_off(c, by); }});
        all.push_back({"height " + std::to_string(c), columns.height(c),
                       [&make, c](double by) { return make.height_off(c, by); }});
    }
    for (int u = 0; u < diagnosis::common_unknown_count; ++u) {
        const auto of = static_cast<CommonUnknown>(u);
        all.push_back({"common unknown " + std::to_string(u), columns.common(of),
                       [&make, of](double by) { return make.common_off(of, by); }});
    }
    if (make.fault.cause == scale::Cause::wrong_cell) {
        for (int u = 0; u < diagnosis::cell_unknown_count; ++u) {
            const auto of = static_cast<CellUnknown>(u);
            all.push_back(
                {"strange cell's unknown " + std::to_string(u), columns.replaced(0, of),
                 [&make, of](double by) { return make.strange_cell_off(make.fault.site.index, of, by); }});
        }
    }
    for (int p = 0; p < loads.placings; ++p) {
        all.push_back({"placing along x " + std::to_string(p), columns.placing_x(p),
                       [&make, p](double by) { return make.placing_off(p, by, 0.0); }});
        all.push_back({"placing along y " + std::to_string(p), columns.placing_y(p),
                       [&make, p](double by) { return make.placing_off(p, 0.0, by); }});
    }
    for (int z = 0; z < loads.zeroings; ++z) {
        all.push_back({"drift since zeroing " + std::to_string(z), columns.zero_drift(z),
                       [&make, z](double by) { return make.drifted_since(z, by); }});
    }
    return all;
}

struct Case {
    const char* scale_name;
    scale::Description d;
    scale::Fault fault;
    History history = History::calibrated;
    Zeroed zeroed = Zeroed::before;
    std::vector<diagnosis::Reading> sheet{};  ///< none: one of every reading
};

/// One column stands for warmth and for a home run whose length and joints nobody knows exactly.
double home_run_factor(const DiagnosisBench& bench, const diagnosis::Row& row) {
    const bool bus_volts = row.kind == diagnosis::RowKind::bus_signal &&
                           !bench.readings[static_cast<unsigned>(row.reading)].is_ratio;
    if (row.kind != diagnosis::RowKind::excitation && !bus_volts) return 1.0;
    const double warmth = scale::copper_per_K * bench.scatter.cable_temperature_K;
    return std::hypot(warmth, bench.scatter.excitation_drop) / warmth;
}

/// Checks every column of every row. A column may be off by 2 % of itself, and by 1 % of what the row is
/// uncertain altogether, which changes that by less than a part in ten thousand.
/// With `altogether` only each row's whole uncertainty is held to that share: a load that stands just where a
/// contact begins to slide has two slopes, and a reading of it may be taken for twice as uncertain.
void check_slopes(const Case& of, double altogether = 0.0) {
    DiagnosisBench bench(of.d, of.sheet.empty() ? oracle::every_reading(of.d, 8000.0, 3) : of.sheet,
                         of.history, of.zeroed);
    REQUIRE(bench.prepare());
    REQUIRE(bench.predictor.set(of.fault));
    const oracle::SpecimenMaker make{bench.description, bench.scatter, bench.sheet.instruments, of.history,
                                     of.fault};
    const oracle::ForwardChain chain(bench.description, bench.readings, of.zeroed);
    const int count = bench.predictor.columns().count();
    const int copper = bench.predictor.columns().common(CommonUnknown::copper);

    struct Line {
        diagnosis::Row row;
        std::vector<double> slope;
        double sigma = 0.0;
    };
    std::vector<Line> lines;
    for (int i = 0; i < bench.rows.measured; ++i) {
        Line line{bench.rows.row[static_cast<unsigned>(i)], std::vector<double>(count), 0.0};
        bench.predictor.slopes(line.row, line.slope);
        // The ohmmeter's own uncertainty goes by its reading, and this sheet has none.
        double variance = line.row.kind == diagnosis::RowKind::resistance ? 25.0e-6 : line.row.variance;
        for (const double s : line.slope) variance += s * s;
        line.sigma = std::sqrt(variance);
        lines.push_back(line);
    }
    std::vector<double> whole(lines.size());
    std::vector<bool> named(static_cast<std::size_t>(count));
    for (const Column& column : every_column(make, bench.predictor.columns(), bench.loads)) {
        const auto k = static_cast<std::size_t>(column.index);
        named[k] = true;
        const std::vector<double> plus = chain.values(column.specimen(half), of.fault);
        const std::vector<double> minus = chain.values(column.specimen(-half), of.fault);
        REQUIRE(!plus.empty());
        REQUIRE(!minus.empty());
        int wrong = 0;
        for (std::size_t i = 0; i < lines.size(); ++i) {
            const Line& line = lines[i];
            const auto reading = static_cast<std::size_t>(line.row.reading);
            double quotient = (plus[reading] - minus[reading]) / (2.0 * half);
            if (column.index == copper) quotient *= home_run_factor(bench, line.row);
            whole[i] += quotient * quotient;
            // How the cells load the home run is left out of its volts: a thousandth of their variance.
            const double share = line.row.kind == diagnosis::RowKind::excitation ? 0.03 : 0.01;
            const double allowed = 0.02 * std::fabs(quotient) + share * line.sigma;
            if (std::fabs(line.slope[k] - quotient) <= allowed || altogether > 0.0) continue;
            ++wrong;
            UNSCOPED_INFO("reading " << reading << " kind " << static_cast<int>(line.row.kind) << " at "
                                     << line.row.position << ": slope " << line.slope[k] << ", specimens "
                                     << quotient << ", sigma " << line.sigma);
        }
        CAPTURE(of.scale_name, scale::name_of(of.fault.cause), of.fault.site.index, of.fault.magnitude[0],
                static_cast<int>(of.history), static_cast<int>(of.zeroed), column.name);
        CHECK(wrong == 0);
    }
    int beyond = 0;
    for (std::size_t i = 0; i < lines.size() && altogether > 0.0; ++i) {
        double slopes = 0.0;
        for (const double s : lines[i].slope) slopes += s * s;
        const double own = lines[i].sigma * lines[i].sigma - slopes;
        const double specimens = std::sqrt(own + whole[i]);
        CAPTURE(of.scale_name, i, lines[i].sigma, specimens);
        if (lines[i].sigma > (1.0 + altogether) * specimens) ++beyond;
        CHECK(lines[i].sigma > (1.0 - altogether) * specimens);
        CHECK(lines[i].sigma < 2.0 * specimens);
    }
    CHECK(beyond <= 1);
    for (int k = 0; k < count; ++k) {
        if (named[static_cast<std::size_t>(k)]) continue;
        for (const Line& line : lines) CHECK(line.slope[static_cast<std::size_t>(k)] == 0.0);
    }
}

scale::Fault at_cell(scale::Cause cause, int cell, double magnitude = 0.0,
                     scale::Wire a = scale::Wire::excitation_plus,
                     scale::Wire b = scale::Wire::excitation_plus) {
    return {cause, {scale::SiteKind::cell, cell, 0}, {a, b, 0, {}}, {magnitude, 0.0}};
}

scale::Fault at_support(scale::Cause cause, int support, double magnitude, double second = 0.0) {
    return {cause, {scale::SiteKind::support, support, 0}, {}, {magnitude, second}};
}

}  // namespace

TEST_CASE("Slopes of the healthy scale are those of specimens that have one part off") {
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        for (const History history : {History::calibrated, History::unadjusted}) {
            for (const Zeroed zeroed : {Zeroed::before, Zeroed::now}) {
                check_slopes({named.name, named.description, {}, history, zeroed});
            }
        }
    }
}

TEST_CASE("Slopes of a faulty scale are those of specimens that get the same fault", "[long]") {
    using scale::Cause;
    using scale::Wire;
    const scale::Fault faults[] = {at_cell(Cause::upside_down, 3),
                                   at_cell(Cause::signal_pair_swapped, 0),
                                   at_cell(Cause::excitation_pair_swapped, 3),
                                   at_cell(Cause::open_wire, 3, 0.0, Wire::signal_plus),
                                   at_cell(Cause::open_wire, 0, 0.0, Wire::excitation_minus),
                                   at_cell(Cause::wet_leak, 3, 3.0e4, Wire::signal_plus, Wire::shield),
                                   at_cell(Cause::loose_terminal, 0, 40.0, Wire::excitation_plus),
                                   at_cell(Cause::loose_terminal, 3, 15.0, Wire::signal_minus),
                                   at_cell(Cause::altered_cable, 3, 25.0),
                                   at_cell(Cause::wrong_cell, 3, 1.5),
                                   at_cell(Cause::shifted_zero, 0, 4.0e-4),
                                   at_cell(Cause::damaged_arm, 3, 2.0),
                                   at_cell(Cause::weak_output, 3, 0.6),
                                   at_support(Cause::rubbing, 3, 3.0e6, 8.0e4),
                                   at_support(Cause::bound_support, 3, 0.4),
                                   at_support(Cause::unseated_support, 0, 3.0e-3),
                                   at_support(Cause::settled_footing, 3, 6.0e-4),
                                   {Cause::excitation_low, {}, {}, {7.0, 0.0}},
                                   {Cause::swapped_cells, {scale::SiteKind::cell_pair, 0, 3}, {}, {}}};
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        for (const scale::Fault& fault : faults) {
            const bool each = named.description.converter == scale::Converter::per_cell;
            const History history = each || fault.site.index == 3 ? History::calibrated : History::unadjusted;
            check_slopes({named.name, named.description, fault, history,
                          fault.site.index == 0 ? Zeroed::now : Zeroed::before});
        }
    }
}

TEST_CASE(
    "Where a contact slides, which slopes follow only nearly, each reading is as uncertain as specimens "
    "are") {
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        check_slopes({named.name, named.description, at_support(scale::Cause::rubbing, 0, 4.0e7, 2.4e3)},
                     0.15);
    }
}

TEST_CASE("What a contact that slid leaves on the deck answers as specimens do", "[long]") {
    // No load comes twice: one that does stands just where the contact began to slide, and has two slopes.
    for (const oracle::NamedScale& named : oracle::bench_scales()) {
        const scale::Description& d = named.description;
        const auto over = [&](int support, double mass_kg) {
            return oracle::weight_under(oracle::load_of({oracle::over_support(d, support, mass_kg)}));
        };
        diagnosis::Reading returned = oracle::weight_under({});
        returned.direction = diagnosis::Direction::returned;
        for (const double limit_N : {1.0e3, 1.0e4, 1.9e4}) {
            const scale::Fault rubbing = at_support(scale::Cause::rubbing, 0, 4.0e7, limit_N);
            check_slopes({named.name,
                          d,
                          rubbing,
                          History::calibrated,
                          Zeroed::before,
                          {oracle::weight_under({}), over(0, 8000.0), returned, over(1, 6000.0), returned,
                           over(0, 9000.0), over(1, 5000.0)}});
            diagnosis::Reading zero_set = oracle::weight_under({});
            zero_set.zero_set = true;
            check_slopes({named.name,
                          d,
                          rubbing,
                          History::calibrated,
                          Zeroed::before,
                          {oracle::weight_under({}), over(0, 8000.0), zero_set, over(1, 6000.0), returned,
                           over(0, 9000.0), zero_set, over(1, 5000.0)}});
            diagnosis::Reading down = over(0, 5000.0);
            down.direction = diagnosis::Direction::decreasing;
            down.came_down_from = 1.7;
            check_slopes({named.name,
                          d,
                          rubbing,
                          History::calibrated,
                          Zeroed::before,
                          {oracle::weight_under({}), down, returned, over(2, 3000.0)}});
        }
    }
}

TEST_CASE("Slopes of a faulty trim or home run are those of specimens that get the same fault") {
    using scale::Cause;
    for (const scale::Description& d : {oracle::trimmed_scale(6), oracle::per_cell_scale(6),
                                        oracle::shunt_scale(6), oracle::pound_scale(4)}) {
        const bool each = d.converter == scale::Converter::per_cell;
        check_slopes({"", d, at_cell(Cause::trim_off, 3, each ? 0.15 : 2.0)});
        if (each) continue;
        check_slopes({"", d, {Cause::home_run_loose, {}, {}, {2.0, 0.0}}});
        if (d.home_run_wires == 6) {
            scale::Fault open{Cause::sense_open, {}, {}, {}};
            open.variant.home_wire = scale::HomeWire::sense_plus;
            check_slopes({"", d, open});
        }
    }
}
