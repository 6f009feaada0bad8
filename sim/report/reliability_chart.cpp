#include "sim/report/reliability_chart.h"

#include <spdlog/fmt/fmt.h>

#include "sim/field/share_interval.h"
#include "sim/report/number_words.h"
#include "sim/report/svg_text.h"

namespace cornerbench::report {

namespace {

constexpr double side = 360.0;
constexpr double left = 64.0;
constexpr double top = 56.0;
constexpr double width = left + side + 112.0;
constexpr double height = top + side + 64.0;

double x(double share) {
    return left + side * share;
}

double y(double share) {
    return top + side * (1.0 - share);
}

void draw_frame(std::ostream& out) {
    out << fmt::format(
        "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"none\" "
        "stroke=\"#444\"/>\n",
        left, top, side, side);
    for (int tenth = 0; tenth <= 10; tenth += 2) {
        const double at = 0.1 * tenth;
        out << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">{}</text>\n", x(at),
                           top + side + 18.0, 10 * tenth)
            << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{}</text>\n", left - 8.0,
                           y(at) + 4.0, 10 * tenth);
    }
    out << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">stated, %</text>\n",
                       left + 0.5 * side, top + side + 42.0)
        << fmt::format(
               "<text x=\"16\" y=\"{:.1f}\" text-anchor=\"middle\" transform=\"rotate(-90 16 "
               "{:.1f})\">came true, %</text>\n",
               top + 0.5 * side, top + 0.5 * side)
        << fmt::format(
               "<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" stroke=\"#444\" "
               "stroke-dasharray=\"5 4\"/>\n",
               x(0.0), y(0.0), x(1.0), y(1.0));
}

void draw_bin(std::ostream& out, const field::ReliabilityBin& bin) {
    const double stated = bin.stated / bin.statements;
    const double came_true = static_cast<double>(bin.true_ones) / bin.statements;
    const field::ShareInterval interval = field::share_interval(bin.true_ones, bin.statements);
    out << fmt::format(
               "<line x1=\"{0:.1f}\" y1=\"{1:.1f}\" x2=\"{0:.1f}\" y2=\"{2:.1f}\" stroke=\"#1b4f72\" "
               "stroke-width=\"2\"/>\n",
               x(stated), y(interval.low), y(interval.high))
        << fmt::format(
               "<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"4\" fill=\"#1b4f72\"><title>{} statements, "
               "{:.1f} % stated, {:.1f} % came true</title></circle>\n",
               x(stated), y(came_true), bin.statements, 100.0 * stated, 100.0 * came_true)
        << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\">{} of {}</text>\n", left + side + 8.0,
                       y(stated) + 4.0, grouped(bin.true_ones), grouped(bin.statements));
}

}  // namespace

void draw_reliability(std::ostream& out, const std::string& scale, const field::Trial& trial) {
    out << fmt::format(
               "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.0f}\" height=\"{1:.0f}\" "
               "viewBox=\"0 0 {0:.0f} {1:.0f}\" font-family=\"sans-serif\" font-size=\"12\">\n"
               "<title>What was stated and what came true</title>\n"
               "<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n",
               width, height)
        << fmt::format("<text x=\"{:.1f}\" y=\"20\" font-size=\"14\">{}: {} sheets</text>\n", left,
                       svg_text(scale), grouped(trial.sheets))
        << fmt::format(
               "<text x=\"{:.1f}\" y=\"40\">Dots: came true, with the 95 % interval. Dashed: as "
               "stated.</text>\n",
               left);
    draw_frame(out);
    for (const field::ReliabilityBin& bin : trial.reliability)
        if (bin.statements > 0) draw_bin(out, bin);
    out << "</svg>\n";
}

}  // namespace cornerbench::report
