#include "sim/report/sweep_report.h"

#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using sweep::Column;
using sweep::Point;
using sweep::Quantity;

namespace {

/// Places behind the point at which a column is read off.
int decimals_of(const SweepPage& page, Quantity what) {
    switch (what) {
        case Quantity::reading:
            return 6;
        case Quantity::signal:
        case Quantity::span:
            return 4;
        case Quantity::excitation:
            return 4;
        case Quantity::current:
            return 3;
        default:
            return MassWords(page.scale.description).decimals() + (page.as_shown ? 0 : 1);
    }
}

std::string text_of(const SweepPage& page, const Column& column, const std::optional<double>& output) {
    if (!output) return "-";
    const double value = in_unit(page, column.what, *output);
    const bool error = column.what == Quantity::corner || column.what == Quantity::section ||
                       column.what == Quantity::zero || column.what == Quantity::span;
    const int places = decimals_of(page, column.what);
    return error ? signed_grouped(value, places) : grouped(value, places);
}

std::string heading_of(const SweepPage& page, const Column& column) {
    return fmt::format("{} {}", sweep::name_of(column), unit_of(page, column.what));
}

std::string value_text(double value) {
    return fmt::format("{:.6g}", value + 0.0);
}

/// The columns that fit beside the parameter into one table, from `first` on.
std::size_t last_that_fits(const SweepPage& page, std::size_t first, std::size_t parameter_width) {
    std::size_t width = 2 + parameter_width;
    std::size_t last = first;
    for (; last < page.columns.size(); ++last) {
        // A heading may break where it has a blank.
        const std::string name = sweep::name_of(page.columns[last]);
        std::size_t widest = std::max(name.size(), unit_of(page, page.columns[last].what).size());
        for (const Point& point : page.points)
            widest = std::max(widest, text_of(page, page.columns[last], point.outputs[last]).size());
        width += 2 + widest;
        if (width > static_cast<std::size_t>(page_width) && last > first) break;
    }
    return last;
}

void print_columns(std::ostream& out, const SweepPage& page, const Style& style, std::size_t first,
                   std::size_t last, const std::string& heading) {
    Table table;
    table.column(heading, Align::right);
    for (std::size_t c = first; c < last; ++c) table.column(heading_of(page, page.columns[c]), Align::right);
    for (const Point& point : page.points) {
        std::vector<Cell> row{{value_text(point.value), Tone::strong}};
        for (std::size_t c = first; c < last; ++c)
            row.push_back({text_of(page, page.columns[c], point.outputs[c])});
        table.row(std::move(row));
    }
    table.print(out, style);
}

}  // namespace

std::string unit_of(const SweepPage& page, Quantity what) {
    switch (what) {
        case Quantity::span:
            return "%";
        case Quantity::reading:
            return "mV/V";
        case Quantity::signal:
            return "mV";
        case Quantity::excitation:
            return "V";
        case Quantity::current:
            return "mA";
        default:
            return MassWords(page.scale.description).unit();
    }
}

double in_unit(const SweepPage& page, Quantity what, double si) {
    switch (what) {
        case Quantity::span:
            return 100.0 * si;
        case Quantity::reading:
        case Quantity::signal:
        case Quantity::current:
            return 1000.0 * si;
        case Quantity::excitation:
            return si;
        default:
            return si / scale::kilograms_in(page.scale.description.unit);
    }
}

void print_sweep(std::ostream& out, const SweepPage& page, const Style& style) {
    out << style(Tone::strong, page.scale.name) << '\n';
    print_wrapped(out,
                  fmt::format("{} from {} to {}{}", page.parameter, value_text(page.points.front().value),
                              value_text(page.points.back().value), page.unit.empty() ? "" : " " + page.unit),
                  2);
    for (const std::string& fault : page.faults) print_wrapped(out, "with " + fault, 2);
    if (page.load != "empty") print_wrapped(out, "on the deck: " + page.load, 2);
    const std::string heading = page.unit.empty() ? "value" : page.unit;
    std::size_t parameter_width = heading.size();
    for (const Point& point : page.points)
        parameter_width = std::max(parameter_width, value_text(point.value).size());
    for (std::size_t first = 0; first < page.columns.size();) {
        const std::size_t last = last_that_fits(page, first, parameter_width);
        out << '\n';
        print_columns(out, page, style, first, last, heading);
        first = last;
    }
    out << '\n';
    print_wrapped(
        out,
        std::string(page.as_shown ? "Weights as shown, in whole divisions. " : "Weights before rounding. ") +
            (page.calibrated_once ? "Calibrated once, on the scale as its file has it; zero is set again at "
                                    "every value."
                                  : "Calibrated sound at every value, then zero set with what is wrong."),
        2);
}

void print_sweep_csv(std::ostream& out, const SweepPage& page) {
    const auto word = [](std::string text) {
        for (char& c : text)
            if (c == ' ' || c == ',' || c == '"' || c == '/' || static_cast<unsigned char>(c) < ' ') c = '_';
        return text;
    };
    // The size of many causes is called by its unit.
    const bool said = page.unit.empty() || page.parameter.ends_with(" " + page.unit);
    out << word(page.parameter + (said ? "" : " " + page.unit));
    for (const Column& column : page.columns)
        out << ','
            << word(sweep::name_of(column) + " " +
                    (column.what == Quantity::span ? "percent" : unit_of(page, column.what)));
    out << "\r\n";
    for (const Point& point : page.points) {
        out << fmt::format("{:.12g}", point.value);
        for (std::size_t c = 0; c < page.columns.size(); ++c)
            out << ','
                << (point.outputs[c]
                        ? fmt::format("{:.12g}", in_unit(page, page.columns[c].what, *point.outputs[c]) + 0.0)
                        : "");
        out << "\r\n";
    }
}

Json sweep_json(const SweepPage& page) {
    Json document = json_document();
    document["scale"] = page.scale.name;
    document["parameter"] = page.parameter;
    document["unit"] = page.unit;
    document["with"] = page.faults;
    document["load"] = page.load;
    document["calibrated_once"] = page.calibrated_once;
    document["as_shown"] = page.as_shown;
    document["columns"] = Json::array();
    for (const Column& column : page.columns)
        document["columns"].push_back(
            {{"name", sweep::name_of(column)}, {"unit", unit_of(page, column.what)}});
    document["points"] = Json::array();
    for (const Point& point : page.points) {
        Json outputs = Json::array();
        for (std::size_t c = 0; c < page.columns.size(); ++c)
            outputs.push_back(point.outputs[c] ? Json(in_unit(page, page.columns[c].what, *point.outputs[c]))
                                               : Json(nullptr));
        document["points"].push_back({{"value", point.value}, {"outputs", std::move(outputs)}});
    }
    return document;
}

}  // namespace cornerbench::report
