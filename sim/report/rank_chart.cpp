#include <algorithm>
#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/number_words.h"
#include "sim/report/rank_report.h"
#include "sim/report/svg_text.h"

namespace cornerbench::report {

namespace {

constexpr int columns = 3;
constexpr double side = 200.0;
constexpr double panel_height = 120.0;
constexpr double gap = 48.0;
constexpr double left = 56.0;
constexpr double top = 84.0;
/// Once in a hundred pictures, over all their panels.
constexpr double leaves = 0.01;

/// Largest distance that an even sample's distribution keeps from the even line but for this probability
/// (Kolmogorov's limit for many, its first term).
double band(double probability, double sheets) {
    return std::sqrt(-0.5 * std::log(0.5 * probability) / sheets);
}

class Panel {
  public:
    Panel(std::ostream& out, double x, double y, double reach) : out_(out), x_(x), y_(y), reach_(reach) {}

    double x(double rank) const { return x_ + side * rank; }
    double y(double off) const { return y_ + 0.5 * panel_height * (1.0 - off / reach_); }

    void draw_frame(const std::string& title, double half_band) {
        out_ << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\">{}</text>\n", x_, y_ - 8.0, svg_text(title))
             << fmt::format(
                    "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"#e8eef4\"/>\n",
                    x_, y(half_band), side, y(-half_band) - y(half_band))
             << fmt::format(
                    "<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"none\" "
                    "stroke=\"#444\"/>\n",
                    x_, y_, side, panel_height)
             << fmt::format(
                    "<line x1=\"{:.1f}\" y1=\"{:.1f}\" x2=\"{:.1f}\" y2=\"{:.1f}\" stroke=\"#444\" "
                    "stroke-dasharray=\"5 4\"/>\n",
                    x(0.0), y(0.0), x(1.0), y(0.0));
        for (const double off : {half_band, -half_band}) {
            out_ << fmt::format("<text x=\"{:.1f}\" y=\"{:.1f}\" text-anchor=\"end\">{:+.0f}</text>\n",
                                x_ - 4.0, y(off) + 4.0, 100.0 * off);
        }
    }

    void draw_curve(const std::vector<double>& shares) {
        out_ << "<polyline fill=\"none\" stroke=\"#1b4f72\" stroke-width=\"1.5\" points=\"";
        const auto n = static_cast<double>(shares.size());
        const auto point = [&](double rank, double off) {
            out_ << fmt::format("{:.1f},{:.1f} ", x(rank), y(std::clamp(off, -reach_, reach_)));
        };
        point(0.0, 0.0);
        for (std::size_t i = 0; i < shares.size(); ++i) {
            point(shares[i], static_cast<double>(i) / n - shares[i]);
            point(shares[i], static_cast<double>(i + 1) / n - shares[i]);
        }
        point(1.0, 0.0);
        out_ << "\"/>\n";
    }

  private:
    std::ostream& out_;
    double x_ = 0.0;
    double y_ = 0.0;
    double reach_ = 1.0;
};

}  // namespace

void draw_ranks(std::ostream& out, const std::string& scale, const field::RankTrial& trial) {
    const std::size_t rows = (trial.magnitudes.size() + columns - 1) / columns;
    const double width = left + columns * (side + gap);
    const double height = top + static_cast<double>(rows) * (panel_height + gap);
    out << fmt::format(
               "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0:.0f}\" height=\"{1:.0f}\" "
               "viewBox=\"0 0 {0:.0f} {1:.0f}\" font-family=\"sans-serif\" font-size=\"12\">\n"
               "<title>Ranks of true magnitudes</title>\n"
               "<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n",
               width, height)
        << fmt::format(
               "<text x=\"{:.1f}\" y=\"20\" font-size=\"14\">{}: ranks of true magnitudes on {} "
               "sheets</text>\n",
               left, svg_text(scale), grouped(trial.cases))
        << fmt::format(
               "<text x=\"{:.1f}\" y=\"40\">Share of true magnitudes below each rank less the rank, in "
               "points, over ranks from 0 to 1.</text>\n"
               "<text x=\"{:.1f}\" y=\"56\">Shaded: where all lines stay in 99 of 100 pictures if all "
               "ranks are even.</text>\n",
               left, left);
    const double each =
        trial.magnitudes.empty() ? leaves : leaves / static_cast<double>(trial.magnitudes.size());
    for (std::size_t i = 0; i < trial.magnitudes.size(); ++i) {
        const field::RankTally& tally = trial.magnitudes[i];
        const auto n = static_cast<double>(tally.shares.size());
        const double half_band = band(each, n);
        Panel panel(out, left + static_cast<double>(i % columns) * (side + gap),
                    top + static_cast<double>(i / columns) * (panel_height + gap), 1.6 * half_band);
        panel.draw_frame(
            fmt::format("{}, {} ({})", scale::name_of(tally.cause), tally.magnitude, tally.shares.size()),
            half_band);
        panel.draw_curve(tally.shares);
    }
    out << "</svg>\n";
}

}  // namespace cornerbench::report
