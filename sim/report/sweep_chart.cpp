#include <algorithm>
#include <array>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/axis_step.h"
#include "sim/report/number_words.h"
#include "sim/report/svg_text.h"
#include "sim/report/sweep_report.h"
#include "sim/report/thin_line.h"

namespace cornerbench::report {

namespace {

constexpr double width = 960.0;
constexpr double height = 480.0;
constexpr double left = 84.0;
constexpr double right = 110.0;
constexpr double top = 52.0;
constexpr double bottom = 56.0;
/// Names at the lines' ends, upright.
constexpr double line_height = 14.0;
/// 8 px a letter, the width of the picture.
constexpr std::size_t most_title_letters = 110;

constexpr std::array<const char*, 4> dashes{"", "8 4", "2 3", "10 3 2 3"};
constexpr std::array<const char*, 4> colours{"#14406b", "#b4571c", "#2e6b34", "#6a3d7c"};

/// Marks between two ends, with no more decimals than their step needs.
std::vector<double> marks_between(double low, double high) {
    std::vector<double> marks;
    const double step = axis_step(high - low);
    for (double k = std::ceil(low / step - 1.0e-9); k * step <= high + 1.0e-9 * step; k += 1.0)
        marks.push_back(k * step);
    return marks;
}

/// Marks of 1, 2 and 5 times powers of ten between two lengths that are above nothing, of powers alone where
/// there are many; the two ends where there is none between them.
std::vector<double> round_marks_between(double low, double high) {
    constexpr double most_with_all = 4.0;
    const bool all = std::log10(high / low) < most_with_all;
    std::vector<double> marks;
    for (double power = std::floor(std::log10(low)); power <= std::ceil(std::log10(high)); power += 1.0)
        for (const double lead : {1.0, 2.0, 5.0}) {
            const double mark = lead * std::pow(10.0, power);
            const bool within = mark >= low * (1.0 - 1.0e-9) && mark <= high * (1.0 + 1.0e-9);
            if (within && (all || lead == 1.0)) marks.push_back(mark);
        }
    return marks.size() > 1 ? marks : std::vector{low, high};
}

class Chart {
  public:
    explicit Chart(const SweepPage& page);
    std::string draw();

  private:
    struct Line {
        std::size_t column = 0;
        double end_y = 0.0;  ///< where its last point stands
        double label_y = 0.0;
    };

    double along(double value) const { return page_.logarithmic ? std::log10(std::fabs(value)) : value; }
    double x(double value) const {
        return left + (width - left - right) * (along(value) - first_) / (last_ - first_);
    }
    double y(double output) const {
        return height - bottom - (height - top - bottom) * (output - lowest_) / (highest_ - lowest_);
    }
    std::optional<double> output(const sweep::Point& point, std::size_t column) const {
        const auto& si = point.outputs[column];
        return si ? std::optional(in_unit(page_, page_.columns[column].what, *si)) : std::nullopt;
    }
    void draw_axes();
    void draw_lines();
    void draw_names();

    const SweepPage& page_;
    std::string unit_;
    std::vector<Line> lines_;
    double first_ = 0.0;
    double last_ = 1.0;
    double lowest_ = 0.0;
    double highest_ = 0.0;
    std::string out_;
};

Chart::Chart(const SweepPage& page) : page_(page), unit_(unit_of(page, page.columns.front().what)) {
    first_ = along(page.points.front().value);
    last_ = along(page.points.back().value);
    bool any = false;
    for (std::size_t c = 0; c < page.columns.size(); ++c) {
        if (unit_of(page, page.columns[c].what) != unit_) continue;
        lines_.push_back({c, 0.0, 0.0});
        for (const sweep::Point& point : page.points) {
            const auto value = output(point, c);
            if (!value) continue;
            lowest_ = any ? std::min(lowest_, *value) : *value;
            highest_ = any ? std::max(highest_, *value) : *value;
            any = true;
        }
    }
    const double room = std::max(0.05 * (highest_ - lowest_), 1.0e-9 + 1.0e-6 * std::fabs(highest_));
    lowest_ -= room;
    highest_ += room;
}

void Chart::draw_axes() {
    for (const double mark : marks_between(lowest_, highest_))
        out_ += fmt::format(
            "<path class=\"grid\" d=\"M{:.1f} {:.1f}H{:.1f}\"/>"
            "<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{:.6g}</text>\n",
            left, y(mark), width - right, left - 8.0, y(mark) + 4.0, mark + 0.0);
    std::vector<double> marks;
    if (page_.logarithmic) {
        marks = round_marks_between(std::pow(10.0, std::min(first_, last_)),
                                    std::pow(10.0, std::max(first_, last_)));
        if (page_.points.front().value < 0.0)
            for (double& mark : marks) mark = -mark;
    } else {
        marks = marks_between(std::min(first_, last_), std::max(first_, last_));
    }
    for (const double mark : marks)
        out_ += fmt::format(
            "<path class=\"grid\" d=\"M{0:.1f} {1:.1f}V{2:.1f}\"/>"
            "<text x=\"{0:.1f}\" y=\"{3:.1f}\" text-anchor=\"middle\">{4:.3g}</text>\n",
            x(mark), top, height - bottom, height - bottom + 18.0, mark + 0.0);
    out_ += fmt::format(
        "<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{}</text>\n"
        "<text x=\"8\" y=\"{:.1f}\">{}</text>\n",
        width - right, height - bottom + 36.0,
        svg_text(page_.parameter + (page_.unit.empty() ? "" : ", " + page_.unit)), top - 10.0,
        svg_text(unit_));
}

void Chart::draw_lines() {
    for (std::size_t i = 0; i < lines_.size(); ++i) {
        Line& line = lines_[i];
        ThinLine path;
        // A line that goes on to the left is drawn from its end.
        std::vector<const sweep::Point*> points;
        for (const sweep::Point& point : page_.points) points.push_back(&point);
        if (points.size() > 1 && first_ > last_) std::reverse(points.begin(), points.end());
        line.end_y = y(lowest_);
        for (const sweep::Point* point : points) {
            const auto value = output(*point, line.column);
            if (!value) {
                path.lift();
                continue;
            }
            path.draw_to(x(point->value), y(*value));
            line.end_y = y(*value);
        }
        line.label_y = line.end_y;
        out_ += fmt::format(
            "<path fill=\"none\" stroke=\"{}\" stroke-width=\"1.8\"{} d=\"{}\"/>\n",
            colours[i % colours.size()],
            dashes[i / colours.size() % dashes.size()][0] == '\0'
                ? ""
                : fmt::format(" stroke-dasharray=\"{}\"", dashes[i / colours.size() % dashes.size()]),
            path.take());
    }
}

void Chart::draw_names() {
    std::vector<std::size_t> order(lines_.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::stable_sort(order.begin(), order.end(),
                     [this](std::size_t a, std::size_t b) { return lines_[a].end_y < lines_[b].end_y; });
    double above = top - line_height;
    for (const std::size_t i : order)
        above = lines_[i].label_y = std::max(lines_[i].end_y, above + line_height);
    double below = height - 6.0;
    for (auto i = order.rbegin(); i != order.rend(); ++i) {
        lines_[*i].label_y = std::min(lines_[*i].label_y, below);
        below = lines_[*i].label_y - line_height;
    }
    for (const std::size_t i : order)
        out_ += fmt::format(
            "<path stroke=\"#999\" fill=\"none\" d=\"M{0:.1f} {1:.1f}L{2:.1f} {3:.1f}\"/>"
            "<text x=\"{4:.1f}\" y=\"{5:.1f}\" fill=\"{6}\">{7}</text>\n",
            width - right + 2.0, lines_[i].end_y, width - right + 14.0, lines_[i].label_y,
            width - right + 18.0, lines_[i].label_y + 4.0, colours[i % colours.size()],
            svg_text(sweep::name_of(page_.columns[lines_[i].column])));
}

std::string Chart::draw() {
    std::string title = page_.scale.name + ": " + page_.parameter;
    for (const std::string& fault : page_.faults) title += ", with " + fault;
    out_ = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0:g} {1:g}\" role=\"img\" "
        "font-family=\"sans-serif\" font-size=\"12\">\n<title>{2}</title>\n"
        "<style>.grid{{stroke:#d8d8d8}}</style>\n<rect width=\"{0:g}\" height=\"{1:g}\" fill=\"#fff\"/>\n",
        width, height, svg_text(title));
    out_ += fmt::format("<text x=\"{:.1f}\" y=\"22\" font-size=\"15\">{}</text>\n", left,
                        svg_text(title.size() > most_title_letters ? page_.scale.name : title));
    draw_axes();
    draw_lines();
    draw_names();
    return out_ + "</svg>\n";
}

}  // namespace

std::string sweep_chart(const SweepPage& page) {
    return Chart(page).draw();
}

}  // namespace cornerbench::report
