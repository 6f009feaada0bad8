#include <algorithm>
#include <cmath>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/commissioning/limits.h"
#include "sim/report/record_page.h"
#include "sim/report/record_words.h"
#include "sim/report/svg_text.h"

namespace cornerbench::report {

namespace {

constexpr double width = 720.0;
constexpr double height = 380.0;
constexpr double left = 92.0;
constexpr double right = width - 24.0;
constexpr double top = 24.0;
constexpr double bottom = height - 64.0;

struct Point {
    double load_kg = 0.0;
    double error_kg = 0.0;
    double uncertainty_kg = 0.0;
    double limit_kg = 0.0;
    bool decreasing = false;
};

/// A step of 1, 2 or 5 times a power of ten with about `count` of them in `span`.
double round_step(double span, int count) {
    const double raw = span / count;
    const double decade = std::pow(10.0, std::floor(std::log10(raw)));
    for (const double step : {1.0, 2.0, 5.0})
        if (step * decade >= raw) return step * decade;
    return 10.0 * decade;
}

class Plot {
  public:
    Plot(const RecordPage& page, std::vector<Point> points)
        : page_(page),
          points_(std::move(points)),
          mass_(page.sheet.scale.description, page.unit),
          unit_kg_(scale::kilograms_in(page.unit)),
          most_load_kg_(page.sheet.scale.description.max_kg) {
        for (const Point& point : points_) {
            const double reach = std::fabs(point.error_kg) + point.uncertainty_kg;
            most_error_kg_ = std::max({most_error_kg_, 1.2 * point.limit_kg, reach});
        }
        most_error_kg_ *= 1.05;
    }

    std::string draw() {
        out_ = fmt::format(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {:.0f} {:.0f}\" role=\"img\" "
            "aria-label=\"Error over load\" aria-describedby=\"plot-text\" "
            "style=\"font:13px 'DejaVu Sans',Verdana,sans-serif\">\n<desc id=\"plot-text\">{}</desc>\n",
            width, height, svg_text(words()));
        axes();
        limits();
        points();
        out_ += "</svg>\n";
        return out_;
    }

  private:
    double x(double kg) const { return left + (right - left) * kg / most_load_kg_; }
    double y(double kg) const { return 0.5 * (top + bottom) - 0.5 * (bottom - top) * kg / most_error_kg_; }

    std::string words() const {
        std::string all = "Errors in " + mass_.unit() + ", with expanded uncertainty and limit.";
        for (const Point& point : points_)
            all += fmt::format(" At {}{}: {}, uncertain by {}, limit {}.", mass_.number(point.load_kg),
                               point.decreasing ? " coming down" : "", mass_.signed_number(point.error_kg),
                               mass_.number(point.uncertainty_kg), mass_.number(point.limit_kg));
        return all;
    }

    void line(double x1, double y1, double x2, double y2, const char* extra) {
        out_ += fmt::format("<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" {}/>\n", x1, y1,
                            x2, y2, extra);
    }

    void axes() {
        out_ += fmt::format(
            "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"#fff\" "
            "stroke=\"#111\"/>\n",
            left, top, right - left, bottom - top);
        const double x_step = round_step(most_load_kg_ / unit_kg_, 6) * unit_kg_;
        for (double kg = 0.0; kg <= most_load_kg_ * 1.001; kg += x_step) {
            line(x(kg), bottom, x(kg), bottom + 5.0, "stroke=\"#111\"");
            out_ += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">{}</text>\n", x(kg),
                                bottom + 20.0, svg_text(tick(kg)));
        }
        const double y_step = round_step(2.0 * most_error_kg_ / unit_kg_, 6) * unit_kg_;
        for (double kg = -std::floor(most_error_kg_ / y_step) * y_step; kg <= most_error_kg_; kg += y_step) {
            line(left - 5.0, y(kg), left, y(kg), "stroke=\"#111\"");
            out_ += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{}</text>\n", left - 8.0,
                                y(kg) + 4.0, svg_text(tick(kg)));
        }
        line(left, y(0.0), right, y(0.0), "stroke=\"#111\" stroke-width=\"0.75\"");
        out_ += fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">load, {}</text>\n",
                            0.5 * (left + right), bottom + 40.0, mass_.unit());
        out_ += fmt::format(
            "<text x=\"18\" y=\"{0:.1f}\" text-anchor=\"middle\" transform=\"rotate(-90 18 {0:.1f})\">"
            "error, {1}</text>\n",
            0.5 * (top + bottom), mass_.unit());
        out_ += fmt::format(
            "<text x=\"{:.1f}\" y=\"{:.1f}\">\u25cf going up &#160; \u25a1 coming down &#160; bar: "
            "expanded uncertainty &#160; thick line: limit</text>\n",
            left, height - 6.0);
    }

    std::string tick(double kg) const {
        const double value = kg / unit_kg_;
        std::string text = fmt::format("{:.6g}", std::fabs(value) < 1.0e-9 ? 0.0 : value);
        const std::size_t dot = std::min(text.find('.'), text.size());
        const std::size_t first = value < 0.0 ? 1 : 0;
        for (std::size_t at = dot; at > first + 3; at -= 3) text.insert(at - 3, " ");
        return text;
    }

    void limits() {
        const auto limit_at = [&](double kg) {
            return commissioning::limit_kg(page_.standard, page_.sheet.scale, page_.sheet.stage, kg);
        };
        constexpr int steps = 600;
        for (const double sign : {1.0, -1.0}) {
            std::string path;
            double last = -1.0;
            for (int i = 1; i <= steps; ++i) {
                const double load = most_load_kg_ * i / steps;
                const double limit = limit_at(load);
                if (last < 0.0) path = fmt::format("M{:.1f} {:.1f}", x(0.0), y(sign * limit));
                if (last >= 0.0 && limit != last)
                    path +=
                        fmt::format("H{:.1f}V{:.1f}", x(most_load_kg_ * (i - 1) / steps), y(sign * limit));
                last = limit;
            }
            path += fmt::format("H{:.1f}", x(most_load_kg_));
            out_ += fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"#111\" stroke-width=\"3\"/>\n", path);
        }
    }

    void points() {
        for (const bool down : {false, true}) {
            std::string path;
            for (const Point& point : points_) {
                if (point.decreasing != down) continue;
                path += fmt::format("{}{:.1f} {:.1f}", path.empty() ? "M" : "L", x(point.load_kg),
                                    y(point.error_kg));
            }
            if (!path.empty())
                out_ +=
                    fmt::format("<path d=\"{}\" fill=\"none\" stroke=\"#111\" stroke-width=\"1.25\"{}/>\n",
                                path, down ? " stroke-dasharray=\"6 4\"" : "");
        }
        for (const Point& point : points_) {
            const double at = x(point.load_kg) + (point.decreasing ? 5.0 : 0.0);
            line(at, y(point.error_kg - point.uncertainty_kg), at, y(point.error_kg + point.uncertainty_kg),
                 "stroke=\"#111\" stroke-width=\"1.5\"");
            if (point.decreasing) {
                out_ += fmt::format(
                    "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"9\" height=\"9\" fill=\"#fff\" "
                    "stroke=\"#111\" stroke-width=\"1.5\"/>\n",
                    at - 4.5, y(point.error_kg) - 4.5);
            } else {
                out_ += fmt::format("<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"5\" fill=\"#111\"/>\n", at,
                                    y(point.error_kg));
            }
        }
    }

    const RecordPage& page_;
    std::vector<Point> points_;
    RecordMass mass_;
    double unit_kg_ = 1.0;
    double most_load_kg_ = 1.0;
    double most_error_kg_ = 0.0;
    std::string out_;
};

}  // namespace

std::string record_plot(const RecordPage& page) {
    std::vector<Point> points;
    for (const commissioning::LineResult& line : page.survey.lines) {
        const files::TestLine& test = page.sheet.lines[static_cast<std::size_t>(line.line)];
        if (test.test != files::TestKind::weighing || !(line.error.uncertainty > 0.0)) continue;
        points.push_back(
            {test.load_kg, line.error.value, line.error.uncertainty, line.error.limit, test.decreasing});
    }
    if (points.empty()) return "";
    return Plot(page, std::move(points)).draw();
}

}  // namespace cornerbench::report
