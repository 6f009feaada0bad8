#include "tests/benchmark/cost_chart.h"

#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

namespace cornerbench::benchmark {

namespace {

constexpr double left = 72.0;
constexpr double top = 40.0;
constexpr double across = 420.0;
constexpr double up = 300.0;
constexpr const char* colours[] = {"#1b4f72", "#2874a6", "#117a65", "#b9770e", "#922b21"};

}  // namespace

void draw_costs(std::ostream& out, const std::vector<CostCurve>& curves) {
    double least = 1.0e9;
    double most = 1.0e-9;
    int fewest = 1000;
    int cells = 1;
    for (const CostCurve& curve : curves) {
        for (const CostPoint& p : curve.points) {
            least = std::min(least, p.us);
            most = std::max(most, p.us);
            fewest = std::min(fewest, p.cells);
            cells = std::max(cells, p.cells);
        }
    }
    const double low = std::floor(std::log10(least));
    const double high = std::max(low + 1.0, std::ceil(std::log10(most)));
    // Both in equal ratios: what grows in proportion is a straight line, as steep as the dashed one.
    const double octaves = std::max(1.0, std::log2(static_cast<double>(cells) / fewest));
    const auto x = [&](int n) {
        return left + across * std::log2(static_cast<double>(n) / fewest) / octaves;
    };
    const auto y = [&](double us) { return top + up * (high - std::log10(us)) / (high - low); };
    out << fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.0f}\" height=\"{1:.0f}\" viewBox=\"0 0 "
        "{0:.0f} "
        "{1:.0f}\" font-family=\"sans-serif\" font-size=\"12\">\n<title>Cost against cells</title>\n"
        "<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n"
        "<text x=\"{2:.0f}\" y=\"24\" font-size=\"14\">Microseconds a box against its cells</text>\n",
        left + across + 180.0, top + up + 56.0, left);
    for (double power = low; power <= high; power += 1.0) {
        const double us = std::pow(10.0, power);
        out << fmt::format(
            "<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" stroke=\"#ccc\"/>\n"
            "<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{:g} us</text>\n",
            left, y(us), left + across, y(us), left - 8.0, y(us) + 4.0, us);
    }
    const double end_us = std::pow(10.0, low + 0.3) * cells / fewest;
    out << fmt::format(
        "<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" stroke=\"#777\" stroke-dasharray=\"4 "
        "4\"/>\n<text x=\"{:.1f}\" y=\"{:.1f}\" fill=\"#555\">in proportion to cells</text>\n",
        x(fewest), y(end_us * fewest / cells), x(cells), y(end_us), left + across + 8.0, y(end_us) + 4.0);
    for (int n = fewest; n <= cells; n += 2)
        out << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">{}</text>\n", x(n),
                           top + up + 20.0, n);
    out << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"middle\">cells</text>\n",
                       left + 0.5 * across, top + up + 42.0);
    for (std::size_t i = 0; i < curves.size(); ++i) {
        const char* colour = colours[i % std::size(colours)];
        out << fmt::format("<polyline fill=\"none\" stroke=\"{}\" stroke-width=\"2\" points=\"", colour);
        for (const CostPoint& p : curves[i].points) out << fmt::format("{:.1f},{:.1f} ", x(p.cells), y(p.us));
        out << fmt::format("\"/>\n<text x=\"{:.1f}\" y=\"{:.1f}\" fill=\"{}\">{}</text>\n",
                           left + across + 8.0, y(curves[i].points.back().us) + 4.0, colour, curves[i].name);
    }
    out << "</svg>\n";
}

}  // namespace cornerbench::benchmark
